"""Eyes on a day's list of the theatre, and those that could be put on one."""

from collections.abc import Iterable
from typing import NamedTuple

from peewee import fn

from webapp.store.database import rows_of
from webapp.store.projections.cases import CaseRow, PersonRow
from webapp.store.projections.whose_eyes import eyes_of


class TheatreLine(NamedTuple):
    """One eye with whose it is."""

    person: str
    eye: str
    site: str
    name: str
    village: str
    camp_code: str
    state: str
    operate_on: str


def on(sites: Iterable[str], day: str) -> list[TheatreLine]:
    """Return the eyes of these sites on the list of a day, by name."""
    return _lines(
        eyes_of(sites, CaseRow.state, CaseRow.operate_on).where(CaseRow.operate_on == day)
    )


def days(sites: Iterable[str], first: str) -> list[tuple[str, int]]:
    """Return each day from a first one on that has eyes on its list, with how many."""
    query = (
        CaseRow.select(CaseRow.operate_on, fn.COUNT(CaseRow.person))
        .where(CaseRow.site << list(sites), CaseRow.operate_on >= first)
        .group_by(CaseRow.operate_on)
        .order_by(CaseRow.operate_on)
    )
    return [(str(day), int(count)) for day, count in rows_of(query)]


def off(sites: Iterable[str], states: Iterable[str], limit: int) -> list[TheatreLine]:
    """Return the eyes in some states that are on no list, by name."""
    query = eyes_of(sites, CaseRow.state, CaseRow.operate_on).where(
        CaseRow.operate_on == "", CaseRow.state << list(states)
    )
    return _lines(query.limit(limit))


def aside(sites: Iterable[str]) -> list[TheatreLine]:
    """Return the eyes of these sites with boxes that are still put aside, by name."""
    query = eyes_of(sites, CaseRow.state, CaseRow.operate_on)
    return _lines(query.where(CaseRow.aside > 0))


def unchecked(sites: Iterable[str]) -> set[tuple[str, str]]:
    """Return person and eye where no check in theatre stands behind the implanted lens."""
    query = CaseRow.select(CaseRow.person, CaseRow.eye)
    found = query.where(CaseRow.site << list(sites), CaseRow.unchecked == 1)
    return {(str(person), str(eye)) for person, eye in rows_of(found)}


def _lines(query) -> list[TheatreLine]:  # type: ignore[no-untyped-def]  # noqa: ANN001 - peewee's own
    ordered = query.order_by(PersonRow.name, CaseRow.person, CaseRow.eye)
    return [TheatreLine(*row) for row in rows_of(ordered)]
