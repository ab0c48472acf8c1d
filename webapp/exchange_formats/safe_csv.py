"""A table as CSV that a spreadsheet may open: no text in it can act as a formula.

A text that a spreadsheet would take for a formula gets an apostrophe in front. Lines end with
carriage return and line feed, as RFC 4180 says.
"""

import csv
import io
import unicodedata
from collections.abc import Iterable, Sequence

# What a spreadsheet takes for a formula when a text begins with it.
FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")
GUARD = "'"


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return a CSV table; its texts are guarded already, its numbers need no guard."""
    text = io.StringIO(newline="")
    lines = csv.writer(text, lineterminator="\r\n")
    lines.writerow(head)
    lines.writerows(rows)
    return text.getvalue()


def guarded(text: str) -> str:
    """Return a text with an apostrophe in front where a spreadsheet would calculate with it.

    Programs differ in whether they pass over spaces and unseen characters, and whether a sign of
    full width is that sign; whatever one of them may take for a formula is guarded.
    """
    begins = (*FORMULA, GUARD)
    return GUARD + text if text.startswith(begins) or _seen(text).startswith(begins) else text


def unguarded(text: str) -> str:
    """Return a text as it was before it was guarded; any other one as it is."""
    bare = text.removeprefix(GUARD)
    return bare if guarded(bare) == text else text


def _seen(text: str) -> str:
    """Return a text from its first sign that is seen on, in signs of usual width."""
    plain = unicodedata.normalize("NFKC", text)
    return plain.lstrip("".join(one for one in plain if _is_unseen(one)))


def _is_unseen(character: str) -> bool:
    return character.isspace() or unicodedata.category(character) == "Cf"
