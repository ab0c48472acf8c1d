"""Operated eyes that call for somebody: what is urgent, and whose visit is due, overdue or lost."""

from collections.abc import Iterable
from typing import NamedTuple

from webapp.store.database import rows_of
from webapp.store.projections.cases import CaseRow
from webapp.store.projections.whose_eyes import eyes_of


class FollowUpLine(NamedTuple):
    """One operated eye with whose it is."""

    person: str
    eye: str
    site: str
    name: str
    village: str
    camp_code: str
    follow: str
    place: str
    """What eyes that stand alike are listed by."""


def urgent(sites: Iterable[str]) -> list[FollowUpLine]:
    """Return every eye of these sites with an urgent reading that nobody answered."""
    query = eyes_of(sites, CaseRow.follow, CaseRow.follow_due).where(CaseRow.urgent > 0)
    return _lines(query.order_by(CaseRow.since, CaseRow.person, CaseRow.eye))


def calling(sites: Iterable[str], follow: str, limit: int) -> list[FollowUpLine]:
    """Return eyes of these sites that stand so with their visits.

    First those that missed a day that was agreed, then the longest waiting.
    """
    query = eyes_of(sites, CaseRow.follow, CaseRow.follow_due).where(CaseRow.follow == follow)
    ordered = query.order_by(CaseRow.follow_due, CaseRow.person, CaseRow.eye)
    return _lines(ordered.limit(limit))


def _lines(query) -> list[FollowUpLine]:  # type: ignore[no-untyped-def]  # noqa: ANN001 - peewee's own
    return [FollowUpLine(*row) for row in rows_of(query)]
