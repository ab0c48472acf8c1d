"""One order or several as a file: JSON as the sheet's content, CSV with a line for each order.

Both are made from what ``sheet_content`` made, in the sheet's own order and words, so that the
file, the sheet and the page cannot differ.
"""

import json
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from webapp.desk.numbers import MINUS, fixed
from webapp.exchange_formats.safe_csv import guarded, table

Content = Mapping[str, Any]
Writer = Callable[[Sequence[Content]], str]
SEVERAL = "lampside-orders/1"


def as_json(contents: Sequence[Content]) -> str:
    """Return orders as one JSON document, each as it stands in a file of its own."""
    document = {"format": SEVERAL, "orders": list(contents)}
    return json.dumps(document, ensure_ascii=False, indent=1)


def as_csv(contents: Sequence[Content]) -> str:
    """Return orders as a CSV table, a line each, its columns in the order of the sheet."""
    rows = [[cell(content) for cell in COLUMNS.values()] for content in contents]
    return table(list(COLUMNS), rows)


def _text(*path: str) -> Callable[[Content], str]:
    """Return the writer of a text: nothing where there is none, guarded against spreadsheets."""

    def write(content: Content) -> str:
        value: Any = content
        for name in path:
            value = value[name]
        return "" if value is None else guarded(str(value))

    return write


def _number(part: str, name: str, scale: int, decimals: int) -> Callable[[Content], str]:
    """Return the writer of a number, with the hyphen that other programs know as a minus."""

    def write(content: Content) -> str:
        value = content[part][name]
        return "" if value is None else fixed(value, scale, decimals).replace(MINUS, "-")

    return write


def _other_number(content: Content) -> str:
    """Return the number of the other one of two orders, nothing where there is one alone."""
    other = content["other_lens"]
    return "" if other is None else guarded(str(other["number"]))


def _cautions(content: Content) -> str:
    return guarded(" ".join(content["cautions"]))


COLUMNS: dict[str, Callable[[Content], str]] = {
    "Lens order": _text("order", "number"),
    "Chosen or back-up": _text("order", "which"),
    "Other order": _other_number,
    "Status": _text("order", "status"),
    "Site": _text("order", "site_title"),
    "Placed by": _text("order", "placed_by"),
    "Placed at": _text("order", "placed_at"),
    "Supplier's reference": _text("order", "supplier_reference"),
    "Cancelled": _text("order", "cancelled_reason"),
    "Cautions": _cautions,
    "Eye": _text("eye", "word"),
    "OD or OS": _text("eye", "trade"),
    "Name": _text("person", "name"),
    "Birth date": _text("person", "birth_date"),
    "Birth year": _text("person", "birth_year"),
    "Camp code": _text("person", "camp_code"),
    "Lens in words": _text("lens", "sentence"),
    "Model": _text("lens", "model"),
    "Sphere, D": _number("lens", "sphere_cD", 100, 2),
    "Cylinder, D": _number("lens", "cylinder_cD", 100, 2),
    "Axis, °": _number("lens", "axis_deg", 1, 0),
    "Overall length, mm": _number("lens", "length_um", 1000, 2),
    "Optic diameter, mm": _number("lens", "optic_um", 1000, 2),
    "Labelled power": _text("lens", "labelled_power"),
    "Target": _text("target", "text"),
    "Approved by": _text("approval", "approved_by"),
    "Approved at": _text("approval", "signed_at"),
    "Digest": _text("digest"),
    "Order": _text("order", "id"),
    "Approval": _text("approval", "id"),
    "Printed code": _text("qr"),
}
