"""The table ``kinds.json`` as values: kinds of records, and the shapes of objects inside them."""

import json
from pathlib import Path
from typing import Any, NamedTuple

from webapp.records.kinds_values import Field

_TABLE = json.loads(Path(__file__).with_name("kinds.json").read_bytes())


class Shape(NamedTuple):
    """An object that occurs inside bodies: its fields and the rules between them."""

    title: str
    fields: dict[str, Field]
    rules: list[str]


class Kind(NamedTuple):
    """One kind of record.

    ``subject`` is "person", "eye", "either", "site" or "reference"; ``signed_by`` is "device",
    "desk" or "either"; ``needs_reason`` is 1 where each record of the kind gives a reason.
    """

    name: str
    title: str
    subject: str
    roles: list[str]
    signed_by: str
    fields: dict[str, Field]
    rules: list[str]
    quantity_label: str | None
    optional: int
    unique: str | None
    replaceable: int
    needs_reason: int


def _kind(name: str, row: dict[str, Any]) -> Kind:
    return Kind(
        name,
        title=row["title"],
        subject=row["subject"],
        roles=row["roles"],
        signed_by=row["signed_by"],
        fields=row["fields"],
        rules=row["rules"],
        quantity_label=row.get("quantity_label"),
        optional=row.get("optional", 0),
        unique=row.get("unique"),
        replaceable=row.get("replaceable", 0),
        needs_reason=row.get("reason", 0),
    )


SHAPES = {name: Shape(**row) for name, row in _TABLE["shapes"].items()}
KINDS = {name: _kind(name, row) for name, row in _TABLE["kinds"].items()}


def may_sign(kind_name: str, signer: str) -> bool:
    """Return whether a "device" or the "desk" key may sign records of a kind."""
    return KINDS[kind_name].signed_by in {signer, "either"}
