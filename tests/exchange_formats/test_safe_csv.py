"""A table that a spreadsheet may open: what could be calculated with is a text."""

import csv
import io

import pytest

from webapp.exchange_formats.safe_csv import guarded, table, unguarded


@pytest.mark.parametrize(
    "text",
    ['=HYPERLINK("x")', "+1", "-1+1", "@SUM(A1)", "\tx", "\rx", "\nx", "\uff1d1+1", "\uff0b1",
     "\uff0d1", "\uff20SUM(A1)", " =1+1", "\u00a0=1", "\u200b=1", "\ufeff=1", "'quoted", " '=1"],
)  # fmt: skip
def test_what_begins_a_formula_is_guarded(text: str) -> None:
    """What OWASP names for CSV injection, the same behind what is not seen, and the guard."""
    assert guarded(text) == "'" + text
    assert unguarded(guarded(text)) == text


@pytest.mark.parametrize("text", ["Orla", "R-77", "a=b", "", " Orla", "Right eye: model A"])
def test_other_texts_stay(text: str) -> None:
    """Nothing is changed without need."""
    assert guarded(text) == unguarded(text) == text


def test_lines_and_quotes_as_rfc_4180_says() -> None:
    """Commas, quotes and line ends inside a cell come back as they went in."""
    rows = [["a,b", 'say "no"'], ["two\nlines", ""]]
    text = table(["one", "two"], rows)
    assert text.startswith("one,two\r\n")
    assert list(csv.reader(io.StringIO(text, newline="")))[1:] == rows
