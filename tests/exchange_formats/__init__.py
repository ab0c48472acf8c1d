"""Formats that others made, on published strings and on damaged ones."""
