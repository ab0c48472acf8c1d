"""The lists of cases: eyes and people at a step, found by words, and how many there are.

Twenty thousand open eyes are looked through for each page. So what is only counted or sorted is
asked of the eyes' own rows, which are small; the people, with their folds, are only read where a
word has to be found or a name is shown.
"""

from typing import Any, NamedTuple

from peewee import fn

from webapp.store.database import rows_of
from webapp.store.projections.cases import CaseRow, PersonRow


class Wanted(NamedTuple):
    """Which eyes a list is of."""

    sites: frozenset[str]
    words: tuple[str, ...] = ()
    """What must be found of the person, each."""
    state: str = ""
    """A state, or an empty text for all."""
    overdue: bool = False
    """Whether only eyes whose order is late are wanted."""
    reader: frozenset[str] = frozenset()
    """Every site of whoever reads, where ``sites`` are only some of them."""
    says: str = ""
    """What the reason for the state begins with, or an empty text for all."""


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


def lines(wanted: Wanted, limit: int | None) -> list[CaseLine]:
    """Return these eyes with whose they are, the longest-waiting first, at most so many.

    ``limit`` None gives all of them.
    """
    query = _matching(
        CaseRow.select(
            CaseRow.person, CaseRow.eye, CaseRow.site, PersonRow.name, PersonRow.village,
            PersonRow.camp_code, CaseRow.state, CaseRow.state_why, CaseRow.since, CaseRow.stops,
            CaseRow.cautions,
        ).join(PersonRow, on=(PersonRow.person == CaseRow.person)),
        wanted,
    )  # fmt: skip
    # The two databases put nulls at different ends unless told.
    oldest = CaseRow.since.asc(nulls="FIRST")
    ordered = query.order_by(oldest, CaseRow.person, CaseRow.eye).limit(limit)
    return [CaseLine(*row) for row in rows_of(ordered)]


def people(wanted: Wanted, first: int, limit: int) -> list[tuple[str, str | None, str]]:
    """Return (person, since when the longest-waiting of these eyes waits, listed_at).

    Args:
        wanted: which eyes.
        first: how many people to leave out, the longest-waiting ones.
        limit: most people returned.
    """
    since = fn.MIN(fn.COALESCE(CaseRow.since, ""))
    query = _matching(CaseRow.select(CaseRow.person, since, fn.MIN(CaseRow.listed_at)), wanted)
    ordered = query.group_by(CaseRow.person).order_by(since, CaseRow.person)
    found = rows_of(ordered.offset(first).limit(limit))
    return [(person, moment or None, listed_at) for person, moment, listed_at in found]


def state_counts(wanted: Wanted) -> dict[str, int]:
    """Return state -> how many of these eyes are in it."""
    query = _matching(CaseRow.select(CaseRow.state, fn.COUNT(CaseRow.eye)), wanted)
    return dict(rows_of(query.group_by(CaseRow.state)))


def count(wanted: Wanted) -> int:
    """Return how many of these eyes there are."""
    return int(rows_of(_matching(CaseRow.select(fn.COUNT(CaseRow.eye)), wanted))[0][0])


def _matching(query: Any, wanted: Wanted) -> Any:  # noqa: ANN401 - as rows_of
    # Once for each person, unless the earlier registration is where the reader may not look.
    elsewhere = CaseRow.listed_at.not_in(list(wanted.reader or wanted.sites))
    query = query.where(CaseRow.site << list(wanted.sites), elsewhere)
    if wanted.state:
        query = query.where(CaseRow.state == wanted.state)
    if wanted.says:
        query = query.where(CaseRow.state_why.startswith(wanted.says))
    if wanted.overdue:
        query = query.where(CaseRow.is_overdue == 1)
    if wanted.words:
        query = query.where(CaseRow.person << _found(wanted))
    return query


def _found(wanted: Wanted) -> Any:  # noqa: ANN401 - as rows_of
    """Return the people of these sites that match every word."""
    query = PersonRow.select(PersonRow.person).where(PersonRow.site << list(wanted.sites))
    for word in wanted.words:
        query = query.where(PersonRow.words.contains(word))
    return query
