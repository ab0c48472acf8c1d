"""The list of what Lampside is made of."""
