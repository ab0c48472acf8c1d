"""A lens catalogue written as CSV: what ``catalogue_csv`` reads again, and safe to open.

The apostrophe before a text that a spreadsheet would take for a formula is taken away again when
the table is read.
"""

from typing import Any

from webapp.exchange_formats.catalogue_columns import COLUMNS, FIELDS, MAY_BE_LEFT_OUT
from webapp.exchange_formats.safe_csv import guarded, table
from webapp.records.numbers import MINUS, shown_number


def write(models: list[dict[str, Any]]) -> str:
    """Return the models of a catalogue as a CSV table."""
    columns = {
        column: field
        for column, field in COLUMNS.items()
        if column not in MAY_BE_LEFT_OUT or any(model.get(field) for model in models)
    }
    return table(
        list(columns),
        [
            [_cell(column, model.get(field)) for column, field in columns.items()]
            for model in models
        ],
    )


def _cell(column: str, value: object) -> str:
    if value is None:
        return ""
    if column == "toric":
        return "yes" if value else "no"
    field = FIELDS[COLUMNS[column]]
    if column == "product_numbers":
        return " ".join(value) if isinstance(value, list) else ""
    if isinstance(value, list):
        return " ".join(_number(field["items"], one) for one in value)
    return _number(field, value) if isinstance(value, int) else guarded(str(value))


def _number(field: dict[str, Any], value: int) -> str:
    # Other programs know the hyphen as a minus, not the true one.
    return shown_number(value, field["scale"], field["shown_decimals"]).replace(MINUS, "-")
