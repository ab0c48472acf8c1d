"""A lens catalogue written as CSV: what ``catalogue_csv`` reads again, and safe to open.

A text that a spreadsheet would take for a formula gets an apostrophe in front, which reading
takes away again. Lines end with carriage return and line feed, as RFC 4180 says.
"""

import csv
import io
from typing import Any

from webapp.exchange_formats.catalogue_columns import COLUMNS, FIELDS, FORMULA, GUARD
from webapp.records.numbers import MINUS, shown_number


def write(models: list[dict[str, Any]]) -> str:
    """Return the models of a catalogue as a CSV table."""
    text = io.StringIO(newline="")
    rows = csv.writer(text, lineterminator="\r\n")
    rows.writerow(COLUMNS)
    for model in models:
        rows.writerow([_cell(column, model.get(field)) for column, field in COLUMNS.items()])
    return text.getvalue()


def _cell(column: str, value: object) -> str:
    if value is None:
        return ""
    if column == "toric":
        return "yes" if value else "no"
    field = FIELDS[COLUMNS[column]]
    if isinstance(value, list):
        return " ".join(_number(field["items"], one) for one in value)
    return _number(field, value) if isinstance(value, int) else _text(str(value))


def _number(field: dict[str, Any], value: int) -> str:
    # Other programs know the hyphen as a minus, not the true one.
    return shown_number(value, field["scale"], field["shown_decimals"]).replace(MINUS, "-")


def _text(text: str) -> str:
    return GUARD + text if text.startswith((*FORMULA, GUARD)) else text
