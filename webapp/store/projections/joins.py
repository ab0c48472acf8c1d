"""Registrations of one person: one row for each record that joins one with another."""

from typing import NamedTuple

from peewee import CharField, IntegerField

from webapp.store.database import Row, run


class JoinRow(Row):
    """One joining as one camp has it; ``live`` falls to 0 when the two are separated again."""

    record = CharField(64, primary_key=True)
    person = CharField(index=True)
    other = CharField(index=True)
    live = IntegerField()


class Join(NamedTuple):
    """Two registrations, and the record that says they are of one person."""

    record: str
    person: str
    other: str


STANDING = "SELECT record, person, other FROM join_row WHERE live = 1 AND (person = ? OR other = ?)"


def touching(person: str) -> list[Join]:
    """Return the joinings that hold and name a registration, on either side."""
    return [Join(*row) for row in run(STANDING, person, person)]


def keep(record: str, person: str, other: str) -> None:
    """Keep a new joining."""
    JoinRow.create(record=record, person=person, other=other, live=1)


def end(record: str) -> None:
    """Note that two registrations were separated again."""
    JoinRow.update(live=0).where(JoinRow.record == record).execute()
