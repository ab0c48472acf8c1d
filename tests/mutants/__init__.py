"""Each safety check taken out in turn: one that no test misses is a check that nothing tests."""
