"""The tests of Lampside; run them with `python3 -m tests`."""
