"""Formats that others made: what comes in is read strictly, or refused in plain sentences.

Each file knows one format. Nothing of the project is needed here but the way a refusal is worded
and, for a catalogue, the fields of a lens model with the one grammar of numbers.
"""
