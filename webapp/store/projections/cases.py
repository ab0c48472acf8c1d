"""What the worklist shows: a person's fold as last computed, and one row for each eye."""

from collections.abc import Iterable
from typing import Any, NamedTuple

from peewee import CharField, CompositeKey, IntegerField, TextField, fn

from webapp.store.database import Row, rows_among, rows_of, run


class PersonRow(Row):
    """One person: where they belong, words to find them by, and the fold as last computed."""

    person = CharField(primary_key=True)
    site = CharField(index=True)
    name = CharField(default="")
    village = CharField(default="")
    camp_code = CharField(default="")
    words = TextField(default="")
    listed_at = CharField(default="")
    """The site that lists this person under an earlier registration of theirs; else empty."""
    fold = TextField(default="")
    changes = IntegerField(default=0)
    """Raised with every record about this person, so that a slow fold cannot pass as fresh."""
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
    is_overdue = IntegerField()
    """1 while the order of this eye is late."""
    urgent = IntegerField(default=0)
    """Readings after surgery that cannot wait and that nobody answered."""
    follow = CharField(default="")
    """How it stands with its visits after surgery: due, overdue, lost; empty without one."""
    follow_due = CharField(default="")
    """The day for which that visit was planned."""
    operate_on = CharField(default="")
    """The day of the theatre's list that this eye is on; empty without one."""

    class Meta:
        """Listed by site and state, by what is urgent or due, and by the day of surgery."""

        primary_key = CompositeKey("person", "eye")
        indexes = (
            (("site", "state", "since"), False),
            (("urgent", "site"), False),
            (("follow", "site", "follow_due"), False),
            (("operate_on", "site"), False),
        )


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
    return dict(rows_among("person, site", "person_row", "person", persons))


def register(person: str, site: str) -> None:
    """Make the row of a newly registered person."""
    PersonRow.create(person=person, site=site)


def mark_changed(persons: Iterable[str]) -> None:
    """Note that records about these people came in; call in the transaction that stored them."""
    changed = "UPDATE person_row SET computed_for = '', changes = changes + 1 WHERE person = ?"
    for person in persons:
        run(changed, person)


def out_of_date(sites: Iterable[str], computed_for: str, limit: int) -> list[str]:
    """Return people of these sites whose fold was not computed for this."""
    query = PersonRow.select(PersonRow.person).where(
        PersonRow.site << list(sites), PersonRow.computed_for != computed_for
    )
    return [row[0] for row in rows_of(query.limit(limit))]


def everybody() -> list[PersonRow]:
    """Return every registered person, with what a list finds them by and without their fold."""
    columns = (PersonRow.person, PersonRow.site, PersonRow.name, PersonRow.words)
    return list(PersonRow.select(*columns))


def find(person: str) -> PersonRow | None:
    """Return the row of one person."""
    found: PersonRow | None = PersonRow.get_or_none(PersonRow.person == person)
    return found


def keep(row: PersonRow, columns: dict[str, str], cases: list[dict[str, object]]) -> None:
    """Keep a person's new fold and the rows of both eyes; call inside ``writing()``.

    Args:
        row: the person's row as read before their records were; nothing is kept when more
            records have come in since.
        columns: what to keep of the person.
        cases: the columns of both eyes.
    """
    still_true = (PersonRow.person == row.person) & (PersonRow.changes == row.changes)
    if PersonRow.update(columns).where(still_true).execute():
        CaseRow.delete().where(CaseRow.person == row.person).execute()
        for case in cases:
            CaseRow.create(person=row.person, site=row.site, **case)


def lines(
    sites: Iterable[str], state: str, words: list[str], limit: int, overdue: bool = False
) -> list[CaseLine]:
    """Return cases of these sites, in this state if one is named, matching every word.

    Args:
        sites: the sites.
        state: a state, or an empty text for all.
        words: what must be found, each.
        limit: most cases returned.
        overdue: whether only cases whose order is late are wanted.
    """
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
    if overdue:
        query = query.where(CaseRow.is_overdue == 1)
    # The two databases put nulls at different ends unless told.
    oldest = CaseRow.since.asc(nulls="FIRST")
    ordered = query.order_by(oldest, CaseRow.person, CaseRow.eye).limit(limit)
    return [CaseLine(*row) for row in rows_of(ordered)]


def state_counts(sites: Iterable[str], words: list[str]) -> dict[str, int]:
    """Return state -> number of eyes among the cases of these sites that match every word."""
    query = _matching(CaseRow.select(CaseRow.state, fn.COUNT(CaseRow.eye)), sites, words)
    return dict(rows_of(query.group_by(CaseRow.state)))


def overdue_count(sites: Iterable[str], words: list[str]) -> int:
    """Return how many of these cases have an order that is late."""
    query = _matching(CaseRow.select(fn.COUNT(CaseRow.eye)), sites, words)
    return int(rows_of(query.where(CaseRow.is_overdue == 1))[0][0])


def _matching(query: Any, sites: Iterable[str], words: list[str]) -> Any:  # noqa: ANN401 - as rows_of
    query = query.join(PersonRow, on=(PersonRow.person == CaseRow.person))
    # Once for each person, unless the earlier registration is where the reader may not look.
    elsewhere = PersonRow.listed_at.not_in(list(sites))
    query = query.where(CaseRow.site << list(sites), elsewhere)
    for word in words:
        query = query.where(PersonRow.words.contains(word))
    return query
