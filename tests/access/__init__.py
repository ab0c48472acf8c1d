"""Who comes in and who does not, through the real application."""
