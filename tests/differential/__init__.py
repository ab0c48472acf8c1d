"""The core in its two Pythons over random eyes: the same integers, choices and findings."""
