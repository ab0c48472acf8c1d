"""Checks of a record's body: exact keys, each field, then the rules between fields."""

import re
from itertools import pairwise
from typing import Any

from webapp.records.errors import BadRecord
from webapp.records.kinds_rules import RULES
from webapp.records.kinds_table import KINDS, SHAPES, Kind
from webapp.records.kinds_values import (
    Field,
    is_plain,
    letters_problem,
    named,
    parse_field,
    value_problem,
)

Payload = dict[str, Any]

_LIMIT_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_]{0,59}")


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


def check_shape(name: str, value: object) -> None:
    """Check an object of a shape alone, before it stands in a record.

    Raises:
        BadRecord: ``field`` is the path inside the object.
    """
    shape = SHAPES[name]
    _check_object(shape.fields, shape.rules, value, {}, "")


def _check_object(
    fields: dict[str, Field], rules: list[str], values: object, payload: Payload, path: str
) -> None:
    if not isinstance(values, dict):
        raise BadRecord(path.rstrip(".") or "body", "This must be an object with named fields.")
    # A field that came later may be absent from older records, which then means null.
    known = [name for name in fields if name in values or not fields[name].get("absent")]
    check_keys(values, known, path, "form")
    for name, field in fields.items():
        if values.get(name) is not None:
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
    if is_plain(field):
        check_plain(path, field, value, payload.get("wall"))
    elif field["type"] == "object":
        shape = SHAPES[field["shape"]]
        _check_object(shape.fields, shape.rules, value, payload, f"{path}.")
    elif field["type"] == "list":
        _check_list(path, field, value, payload)
    elif field["type"] == "map":
        _check_map(path, field, value)
    else:
        _check_typed(path, value, siblings, KINDS[payload["kind"]])


def check_plain(path: str, field: Field, value: object, wall: str | None = None) -> None:
    """Refuse a value that its field's type, range, step or letters do not allow."""
    problem = value_problem(field, value) or letters_problem(field, value, wall)
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
        check_plain(f"{path}.{name}", field["of"], item)


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


def check_keys(values: Payload, wanted: list[str], path: str, whole: str) -> None:
    """Refuse an object that lacks a named field or has another one."""
    if values.keys() == set(wanted):
        return
    for name in wanted:
        if name not in values:
            raise BadRecord(path + name, f"The {whole} lacks the field {name}.")
    for name in values:
        if name not in wanted:
            raise BadRecord(f"{path}{name}", f"The {whole} has a field that does not belong to it.")
