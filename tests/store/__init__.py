"""The store, on a database of its own for each test."""
