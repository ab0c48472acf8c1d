"""Independent ways to the same numbers, written for the tests and used nowhere else."""
