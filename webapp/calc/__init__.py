"""The command-line door to the calculations: JSON in, JSON out, nothing in between.

Rule: no arithmetic here. This folder reads text, asks ``webapp.core`` or ``webapp.audit`` and
prints.
"""

from webapp.calc.command import main

__all__ = ["main"]
