"""Whole histories of phones and a base in one process, each named by a seed and repeatable.

The base is the server's own code on a database in memory; a phone is a model in Python that the
browser's code is held to by ``tests/vectors/phone_model.json``. Everything that can go wrong on the
way is drawn from the seed; then the faults stop, everybody exchanges, and the promises are checked.
"""
