"""The command-line door to the calculation core: JSON in, JSON out, nothing in between.

Rule: no arithmetic here. This folder reads text, asks ``webapp.core.calculations`` and prints.
"""

from webapp.calc.command import main

__all__ = ["main"]
