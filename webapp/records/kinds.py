"""The closed list of record kinds: one table feeds forms, validation and documentation.

A payload is checked whole: exact keys, who writes about whom, its place in the key's chain, then
its body. ``static/records/kinds.js`` is the twin.
"""

import re

from webapp.records.errors import BadRecord
from webapp.records.kinds_bodies import (
    Payload,
    check_body,
    check_field,
    check_keys,
    check_plain,
    check_shape,
)
from webapp.records.kinds_table import KINDS, SHAPES, Kind, Shape, may_sign
from webapp.records.kinds_values import Field

__all__ = [
    "HEADER",
    "KINDS",
    "REFERENCE_SITE",
    "SHAPES",
    "VERSION",
    "Field",
    "Kind",
    "Payload",
    "Shape",
    "check_body",
    "check_field",
    "check_payload",
    "check_shape",
    "may_sign",
]

VERSION = 1
HEADER = (
    *("v", "kind", "person", "eye", "site", "author", "role"),
    *("key", "seq", "prev", "wall", "replaces", "reason", "body"),
)
REFERENCE_SITE = "all"

_NAME = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")
_REASON: Field = {"type": "text", "label": "The reason", "max_chars": 500, "lines": 1}


def check_payload(payload: object) -> Payload:
    """Return the payload unchanged if every rule but signature and chain holds.

    Raises:
        BadRecord: with the field and a sentence for the person.
    """
    if not isinstance(payload, dict):
        raise BadRecord("record", "A record must be an object.")
    check_keys(payload, list(HEADER), "", "record")
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


def _check_subject(kind: Kind, payload: Payload) -> None:
    has_person = kind.subject not in ("reference", "site")
    if has_person != (payload["person"] is not None):
        which = "one person" if has_person else "no person"
        raise BadRecord("person", f"This kind of record must be about {which}.")
    if has_person:
        check_plain("person", {"type": "uuid", "label": "Person"}, payload["person"])
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
    check_plain("key", {"type": "id", "label": "Key"}, payload["key"])
    seq = payload["seq"]
    if type(seq) is not int or not 1 <= seq < 2**53:
        raise BadRecord("seq", "The number in the chain must be 1 or more.")
    if (seq == 1) != (payload["prev"] is None):
        raise BadRecord("prev", "The first record of a key follows none; each other follows one.")
    if payload["prev"] is not None:
        check_plain("prev", {"type": "id", "label": "Previous record"}, payload["prev"])
    check_plain("wall", {"type": "instant", "label": "Clock time"}, payload["wall"])


def _check_correction(kind: Kind, payload: Payload) -> None:
    replaces, reason = payload["replaces"], payload["reason"]
    if replaces is not None:
        if not kind.replaceable:
            raise BadRecord("replaces", "This kind of record can't replace another.")
        check_plain("replaces", {"type": "id", "label": "Replaced record"}, replaces)
    if replaces is None and not kind.needs_reason:
        if reason is not None:
            raise BadRecord("reason", "A reason belongs to a correction. Leave it out here.")
    elif reason is None:
        raise BadRecord("reason", "Write the reason. It stays with the record.")
    else:
        check_plain("reason", _REASON, reason)
