"""A mutant: one check taken out.

It replaces a text that stands exactly once in its file. ``killers`` names what should notice, the
likeliest first; the first that fails has caught it.
"""

from typing import NamedTuple


class Mutant(NamedTuple):
    """One check taken out."""

    name: str
    why: str
    """What the check keeps from happening."""
    path: str
    old: str
    new: str
    killers: tuple[str, ...]


def never(condition: str) -> tuple[str, str]:
    """Return the replacement of a condition by one that is never true."""
    return condition, "if False:"


def always(condition: str) -> tuple[str, str]:
    """Return the replacement of a condition by one that is always true."""
    return condition, "if True:"
