"""Tests of the command-line door to the calculation core."""
