"""What the worklist shows: a person's fold as last computed, and one row for each eye."""

from collections.abc import Iterable
from typing import NamedTuple

from peewee import CharField, CompositeKey, IntegerField, TextField, fn

from webapp.store.database import Row


class PersonRow(Row):
    """One person: where they belong, words to find them by, and the fold as last computed."""

    person = CharField(primary_key=True)
    site = CharField(index=True)
    name = CharField(default="")
    village = CharField(default="")
    camp_code = CharField(default="")
    words = TextField(default="")
    fold = TextField(default="")
    computed_for = CharField(default="", index=True)
    """What the fold was computed for (day, core, reference); empty when records came since."""


class CaseRow(Row):
    """One eye of one person as the list shows it."""

    person = CharField()
    eye = CharField(1)
    site = CharField()
    state = CharField()
    state_why = TextField()
    since = CharField(null=True)
    stops = IntegerField()
    cautions = IntegerField()

    class Meta:
        """Listed by site and state."""

        primary_key = CompositeKey("person", "eye")
        indexes = ((("site", "state", "since"), False),)


class CaseLine(NamedTuple):
    """A case row joined with its person."""

    person: str
    eye: str
    site: str
    name: str
    village: str
    camp_code: str
    state: str
    state_why: str
    since: str | None
    stops: int
    cautions: int


def sites_of(persons: Iterable[str]) -> dict[str, str]:
    """Return person -> site for those of these people that are registered."""
    query = PersonRow.select(PersonRow.person, PersonRow.site)
    return dict(query.where(PersonRow.person << list(persons)).tuples())


def register(person: str, site: str) -> None:
    """Make the row of a newly registered person."""
    PersonRow.create(person=person, site=site)


def mark_changed(persons: Iterable[str]) -> None:
    """Note that records about these people came in; call in the transaction that stored them."""
    wanted = list(persons)
    if wanted:
        PersonRow.update(computed_for="").where(PersonRow.person << wanted).execute()


def out_of_date(sites: Iterable[str], computed_for: str, limit: int) -> list[str]:
    """Return people of these sites whose fold was not computed for this."""
    query = PersonRow.select(PersonRow.person).where(
        PersonRow.site << list(sites), PersonRow.computed_for != computed_for
    )
    return [row[0] for row in query.limit(limit).tuples()]


def kept_fold(person: str, computed_for: str) -> str | None:
    """Return the fold as JSON text if it is still true for this, else None."""
    row = PersonRow.get_or_none(PersonRow.person == person)
    return row.fold if row and row.computed_for == computed_for else None


def keep(person: str, columns: dict[str, str], cases: list[dict[str, object]]) -> None:
    """Keep a person's new fold and the rows of both eyes; call inside ``writing()``."""
    PersonRow.update(columns).where(PersonRow.person == person).execute()
    CaseRow.delete().where(CaseRow.person == person).execute()
    for case in cases:
        CaseRow.create(person=person, **case)


def lines(sites: Iterable[str], state: str, words: list[str], limit: int) -> list[CaseLine]:
    """Return cases of these sites, in this state if one is named, matching every word."""
    query = _matching(
        CaseRow.select(
            CaseRow.person, CaseRow.eye, CaseRow.site, PersonRow.name, PersonRow.village,
            PersonRow.camp_code, CaseRow.state, CaseRow.state_why, CaseRow.since, CaseRow.stops,
            CaseRow.cautions,
        ),
        sites, words,
    )  # fmt: skip
    if state:
        query = query.where(CaseRow.state == state)
    ordered = query.order_by(CaseRow.since, CaseRow.person, CaseRow.eye).limit(limit)
    return [CaseLine(*row) for row in ordered.tuples()]


def state_counts(sites: Iterable[str], words: list[str]) -> dict[str, int]:
    """Return state -> number of eyes among the cases of these sites that match every word."""
    query = _matching(CaseRow.select(CaseRow.state, fn.COUNT(CaseRow.eye)), sites, words)
    return dict(query.group_by(CaseRow.state).tuples())


def _matching(query, sites, words):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
    query = query.join(PersonRow, on=(PersonRow.person == CaseRow.person))
    query = query.where(CaseRow.site << list(sites))
    for word in words:
        query = query.where(PersonRow.words.contains(word))
    return query
