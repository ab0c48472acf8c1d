"""The server killed, and the disk full: what was acknowledged stays, and nothing is half there."""
