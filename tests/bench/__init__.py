"""Benchmarks: each figure is a ratio of two things measured in turn in one run."""
