"""The desk's pages, its words and its order sheet."""
