"""The real app in a real browser, against the real server, with the faults of a camp."""
