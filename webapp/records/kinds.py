"""The closed list of record kinds, read from ``kinds.json``; ``static/records/kinds.js`` twins it.

One table feeds forms, validation on phone and server, and the documentation. A payload is checked
whole: exact keys, types, ranges, roles, subject, then the rules between fields.
"""

import json
import re
from itertools import pairwise
from pathlib import Path
from typing import Any, NamedTuple

from webapp.records.errors import BadRecord
from webapp.records.kinds_rules import RULES
from webapp.records.kinds_values import Field, named, parse_field, value_problem

Payload = dict[str, Any]

VERSION = 1
ROLES = ("optometrist", "surgeon", "desk", "administrator")
HEADER = (
    *("v", "kind", "person", "eye", "site", "author", "role"),
    *("key", "seq", "prev", "wall", "replaces", "reason", "body"),
)
REFERENCE_SITE = "all"

_TABLE = json.loads(Path(__file__).with_name("kinds.json").read_bytes())
_NAME = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")
_LIMIT_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_]{0,59}")
_REASON: Field = {"type": "text", "label": "The reason", "max_chars": 500, "lines": 1}


class Shape(NamedTuple):
    """An object that occurs inside bodies: its fields and the rules between them."""

    title: str
    fields: dict[str, Field]
    rules: list[str]


class Kind(NamedTuple):
    """One kind of record.

    ``subject`` is "person", "eye", "either" or "reference"; ``signed_by`` is "device", "desk" or
    "either"; ``needs_reason`` is 1 where each record of the kind gives a reason.
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


def check_payload(payload: object) -> Payload:
    """Return the payload unchanged if every rule but signature and chain holds.

    Raises:
        BadRecord: with the field and a sentence for the person.
    """
    if not isinstance(payload, dict):
        raise BadRecord("record", "A record must be an object.")
    _check_keys(payload, list(HEADER), "", "record")
    if payload["v"] != VERSION or type(payload["v"]) is not int:
        raise BadRecord("v", "This record has another version. Load the newest app.")
    kind = KINDS.get(payload["kind"]) if isinstance(payload["kind"], str) else None
    if kind is None:
        raise BadRecord("kind", "This kind of record is not known here. Load the newest app.")
    _check_subject(kind, payload)
    _check_author(kind, payload)
    _check_link(payload)
    _check_correction(kind, payload)
    check_body(kind.name, payload["body"], payload)
    return payload


def check_body(kind_name: str, body: object, payload: Payload) -> None:
    """Check the body of a kind; ``payload`` gives the person and eye that it may repeat.

    Raises:
        BadRecord: ``field`` is the path inside the body.
    """
    kind = KINDS[kind_name]
    _check_object(kind.fields, kind.rules, body, {**payload, "kind": kind_name}, "")


def check_field(kind_name: str, name: str, value: object) -> None:
    """Check one value of a body alone, for a form that is being filled.

    Raises:
        BadRecord: the value may not stand in that field.
    """
    field = KINDS[kind_name].fields[name]
    if value is not None:
        _check_value(name, field, value, {}, {"kind": kind_name})
    elif field["required"]:
        raise BadRecord(name, f"{named(field)} is still missing.")


def may_sign(kind_name: str, signer: str) -> bool:
    """Return whether a "device" or the "desk" key may sign records of a kind."""
    return KINDS[kind_name].signed_by in {signer, "either"}


def _check_subject(kind: Kind, payload: Payload) -> None:
    is_reference = kind.subject == "reference"
    if is_reference != (payload["person"] is None):
        which = "no person" if is_reference else "one person"
        raise BadRecord("person", f"This kind of record must be about {which}.")
    if not is_reference:
        _check_plain("person", {"type": "uuid", "label": "Person"}, payload["person"])
    eyes = {"eye": ("R", "L"), "either": ("R", "L", None)}.get(kind.subject, (None,))
    if payload["eye"] not in eyes:
        which = "must name one eye" if kind.subject == "eye" else "names no such eye"
        raise BadRecord("eye", f"This kind of record {which}.")


def _check_author(kind: Kind, payload: Payload) -> None:
    for name in ("site", "author"):
        if not isinstance(payload[name], str) or not _NAME.fullmatch(payload[name]):
            raise BadRecord(name, f"The record's {name} is not a known form of name.")
    if (payload["site"] == REFERENCE_SITE) != (kind.subject == "reference"):
        raise BadRecord("site", "This kind of record does not belong to this site.")
    if payload["role"] not in kind.roles:
        raise BadRecord("role", f"{kind.title} may be written by: {', '.join(kind.roles)}.")


def _check_link(payload: Payload) -> None:
    """Check the key, the place in the key's chain, and the device's clock time."""
    _check_plain("key", {"type": "id", "label": "Key"}, payload["key"])
    seq = payload["seq"]
    if type(seq) is not int or not 1 <= seq < 2**53:
        raise BadRecord("seq", "The number in the chain must be 1 or more.")
    if (seq == 1) != (payload["prev"] is None):
        raise BadRecord("prev", "The first record of a key follows none; each other follows one.")
    if payload["prev"] is not None:
        _check_plain("prev", {"type": "id", "label": "Previous record"}, payload["prev"])
    _check_plain("wall", {"type": "instant", "label": "Clock time"}, payload["wall"])


def _check_correction(kind: Kind, payload: Payload) -> None:
    replaces, reason = payload["replaces"], payload["reason"]
    if replaces is not None:
        if not kind.replaceable:
            raise BadRecord("replaces", "This kind of record can't replace another.")
        _check_plain("replaces", {"type": "id", "label": "Replaced record"}, replaces)
    if replaces is None and not kind.needs_reason:
        if reason is not None:
            raise BadRecord("reason", "A reason belongs to a correction. Leave it out here.")
    elif reason is None:
        raise BadRecord("reason", "Write the reason. It stays with the record.")
    else:
        _check_plain("reason", _REASON, reason)


def _check_object(
    fields: dict[str, Field], rules: list[str], values: object, payload: Payload, path: str
) -> None:
    if not isinstance(values, dict):
        raise BadRecord(path.rstrip(".") or "body", "This must be an object with named fields.")
    _check_keys(values, list(fields), path, "form")
    for name, field in fields.items():
        if values[name] is not None:
            _check_value(path + name, field, values[name], values, payload)
        elif field["required"]:
            raise BadRecord(path + name, f"{named(field)} is still missing.")
    for rule in rules:
        problem = RULES[rule](values, payload)
        if problem is not None:
            raise BadRecord(path + problem[0], problem[1])


def _check_value(
    path: str, field: Field, value: object, siblings: Payload, payload: Payload
) -> None:
    if field["type"] == "object":
        shape = SHAPES[field["shape"]]
        _check_object(shape.fields, shape.rules, value, payload, f"{path}.")
    elif field["type"] == "list":
        _check_list(path, field, value, payload)
    elif field["type"] == "map":
        _check_map(path, field, value)
    elif field["type"] == "typed":
        _check_typed(path, value, siblings, KINDS[payload["kind"]])
    else:
        _check_plain(path, field, value)


def _check_plain(path: str, field: Field, value: object) -> None:
    problem = value_problem(field, value)
    if problem is not None:
        raise BadRecord(path, problem)


def _check_list(path: str, field: Field, value: object, payload: Payload) -> None:
    label, low, high = field["label"], field["min_items"], field["max_items"]
    if not isinstance(value, list) or not low <= len(value) <= high:
        raise BadRecord(path, f"{label} must be a list of {low} to {high}.")
    for index, item in enumerate(value):
        _check_value(f"{path}.{index}", field["items"], item, {}, payload)
    if field.get("sorted") and any(a >= b for a, b in pairwise(value)):
        raise BadRecord(path, f"{label} must be in ascending order, each once.")


def _check_map(path: str, field: Field, value: object) -> None:
    if not isinstance(value, dict) or len(value) > field["max_items"]:
        raise BadRecord(path, f"{field['label']}: at most {field['max_items']} named values.")
    for name, item in value.items():
        if not isinstance(name, str) or not _LIMIT_NAME.fullmatch(name):
            raise BadRecord(path, f"{field['label']} holds a name with characters not used here.")
        _check_plain(f"{path}.{name}", field["of"], item)


def _check_typed(path: str, value: object, body: Payload, kind: Kind) -> None:
    """What was typed must mean the number that is recorded beside it."""
    if not isinstance(value, dict):
        raise BadRecord(path, "What was typed must be named texts.")
    for name, text in value.items():
        field = kind.fields.get(name)
        if field is None or field["type"] != "int" or not isinstance(text, str):
            raise BadRecord(f"{path}.{name}", "What was typed must belong to a number of the form.")
        if parse_field(f"{path}.{name}", field, text) != body[name]:
            raise BadRecord(f"{path}.{name}", "What was typed and what is recorded differ.")


def _check_keys(values: Payload, wanted: list[str], path: str, whole: str) -> None:
    for name in wanted:
        if name not in values:
            raise BadRecord(path + name, f"The {whole} lacks the field {name}.")
    for name in values:
        if name not in wanted:
            raise BadRecord(f"{path}{name}", f"The {whole} has a field that does not belong to it.")
