"""What to do about a lens that lies badly: be sure first, then lengths, powers and alternatives."""
