"""A table as CSV that a spreadsheet may open: no text in it can act as a formula.

A text that a spreadsheet would take for a formula gets an apostrophe in front. Lines end with
carriage return and line feed, as RFC 4180 says.
"""

import csv
import io
from collections.abc import Iterable, Sequence

# What a spreadsheet takes for a formula when a text begins with it.
FORMULA = ("=", "+", "-", "@", "\t", "\r")
GUARD = "'"


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return a CSV table; its texts are guarded already, its numbers need no guard."""
    text = io.StringIO(newline="")
    lines = csv.writer(text, lineterminator="\r\n")
    lines.writerow(head)
    lines.writerows(rows)
    return text.getvalue()


def guarded(text: str) -> str:
    """Return a text with an apostrophe in front where a spreadsheet would calculate with it."""
    return GUARD + text if text.startswith((*FORMULA, GUARD)) else text
