"""A payload made at the desk: the same form as a phone's, to be signed by the desk key."""

from typing import Any, NamedTuple

from webapp.records.kinds import VERSION, Payload, check_payload


class Subject(NamedTuple):
    """Whom a record is about, and the site it belongs to."""

    person: str | None
    eye: str | None
    site: str


class Writer(NamedTuple):
    """The signed-in person who writes, in the role used now."""

    author: str
    role: str


class Link(NamedTuple):
    """The place of a record in its key's chain: ``prev`` is None for ``seq`` 1."""

    key: str
    seq: int
    prev: str | None


class Correction(NamedTuple):
    """What a record replaces (None where it only needs a reason), and why."""

    replaces: str | None
    reason: str | None


NO_CORRECTION = Correction(None, None)


def draft(
    kind: str,
    subject: Subject,
    writer: Writer,
    link: Link,
    wall: str,
    body: dict[str, Any],
    correction: Correction = NO_CORRECTION,
) -> Payload:
    """Return a checked payload, ready for ``envelope.seal``.

    Args:
        kind: name of the kind.
        subject: person, eye and site.
        writer: signed-in person and role.
        link: desk key id, next number of its chain, id of the record before.
        wall: clock time, ISO 8601 with "Z" or an offset.
        body: every field of the kind, null where there is none.
        correction: replaced record and reason.

    Raises:
        BadRecord: the payload breaks a rule of its kind.
    """
    header = {"v": VERSION, "kind": kind, "wall": wall, "body": body}
    parts = (subject, writer, link, correction)
    return check_payload({**header, **{k: v for part in parts for k, v in part._asdict().items()}})
