"""Formulas of the working on a page: which letters stand below the line."""

import re
from typing import NamedTuple

_BELOW = re.compile(r"_([A-Za-z]+)")


class Piece(NamedTuple):
    """A run of a formula."""

    text: str
    is_below: bool


def pieces(formula: str) -> list[Piece]:
    """Return a formula such as ``F_c = F_s (I - V F_s)`` in runs on and below the line."""
    runs = _BELOW.split(formula)
    return [Piece(run, place % 2 == 1) for place, run in enumerate(runs) if run]
