"""The box that a lens comes in: what its code says, and whether it is the lens that was ordered."""
