"""Seeing an eye again after its surgery: when, what is urgent, and how it goes."""
