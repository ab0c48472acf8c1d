"""The rules of the table, one family a file; ``every`` asks them all."""
