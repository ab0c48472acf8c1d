"""Tests of the calculation core, one file a module, most of them in both Pythons."""
