"""What the desk types: every field says when it is missing and what it is for."""
