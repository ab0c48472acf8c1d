"""What people and strangers did at the server, one row an event, each row hashed onto the last.

No patient's data: every value is an opaque id or a word of the program (``flow/audit.py`` sees to
it). A trigger refuses change and deletion; the hashes tell of both where somebody had the file.
"""

import hashlib
from collections.abc import Iterator
from typing import Any, NamedTuple

from peewee import CharField, IntegerField

from webapp.records import canonical
from webapp.store.database import Row, rows_of

FIRST = 64 * "0"
"""What the first row is hashed onto."""
PAGE = 1000


class AuditRow(Row):
    """One event."""

    n = IntegerField(primary_key=True)
    at = CharField()
    event = CharField()
    actor = CharField()
    subject = CharField()
    detail = CharField()
    address = CharField()
    hash = CharField(64)


class Event(NamedTuple):
    """What an event says, in the order in which it is hashed."""

    at: str
    event: str
    actor: str
    subject: str
    detail: str
    address: str


class Line(NamedTuple):
    """One event in its place."""

    n: int
    said: Event
    hash: str


def append(said: Event) -> Line:
    """Add an event after the newest one; call inside ``writing()``."""
    newest = newest_lines(1)
    n, before = (newest[0].n + 1, newest[0].hash) if newest else (1, FIRST)
    line = Line(n, said, hash_of(n, said, before))
    AuditRow.create(n=n, hash=line.hash, **said._asdict())
    return line


def hash_of(n: int, said: Event, before: str) -> str:
    """Return the hash of a row: SHA-256 over the hash before it and its canonical JSON."""
    return hashlib.sha256(before.encode() + canonical.encode([n, *said])).hexdigest()


def newest_lines(limit: int, before: int | None = None) -> list[Line]:
    """Return events, the newest first.

    Args:
        limit: how many at most.
        before: only those with a smaller number; None begins at the newest.
    """
    query = _all().order_by(AuditRow.n.desc()).limit(limit)
    return _lines(query if before is None else query.where(AuditRow.n < before))


def since(at: str, event: str) -> list[Event]:
    """Return what was said of one kind of event at or after an instant, the newest first."""
    query = _all().where(AuditRow.at >= at, AuditRow.event == event).order_by(AuditRow.n.desc())
    return [line.said for line in _lines(query)]


def from_the_first() -> Iterator[Line]:
    """Give every event in order, a part of the table at a time."""
    after = 0
    while found := _lines(_all().where(AuditRow.n > after).order_by(AuditRow.n).limit(PAGE)):
        yield from found
        after = found[-1].n


def _all() -> Any:  # noqa: ANN401 - peewee publishes no types
    row = AuditRow
    return row.select(
        row.n, row.at, row.event, row.actor, row.subject, row.detail, row.address, row.hash
    )


def _lines(query: object) -> list[Line]:
    return [Line(n, Event(*said), hashed) for n, *said, hashed in rows_of(query)]
