"""Formats that others made: what comes in is read strictly, or refused in one plain sentence.

Each file knows one format. Nothing of the project is needed here but the way a refusal is worded.
"""
