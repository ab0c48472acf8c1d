"""Records: what may be written, and its one form."""
