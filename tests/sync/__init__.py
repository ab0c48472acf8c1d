"""The addresses phones call, through the real application."""
