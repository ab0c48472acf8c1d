"""Records to and from phones: push, pull, keys and status; JSON only, signed-in people only."""
