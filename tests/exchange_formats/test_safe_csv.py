"""A table that a spreadsheet may open: what could be calculated with is a text."""

import csv
import io

import pytest

from webapp.exchange_formats.safe_csv import guarded, table


@pytest.mark.parametrize(
    "text", ['=HYPERLINK("x")', "+1", "-1+1", "@SUM(A1)", "\tx", "\rx", "'quoted"]
)
def test_what_begins_a_formula_is_guarded(text: str) -> None:
    """The characters that OWASP names for CSV injection, and the guard itself."""
    assert guarded(text) == "'" + text


@pytest.mark.parametrize("text", ["Orla", "R-77", "a=b", "", "Right eye: model A"])
def test_other_texts_stay(text: str) -> None:
    """Nothing is changed without need."""
    assert guarded(text) == text


def test_lines_and_quotes_as_rfc_4180_says() -> None:
    """Commas, quotes and line ends inside a cell come back as they went in."""
    rows = [["a,b", 'say "no"'], ["two\nlines", ""]]
    text = table(["one", "two"], rows)
    assert text.startswith("one,two\r\n")
    assert list(csv.reader(io.StringIO(text, newline="")))[1:] == rows
