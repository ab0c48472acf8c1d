"""Eyes with whose they are: what the shorter lists of the desk are chosen from."""

from collections.abc import Iterable

from webapp.store.projections.cases import CaseRow, PersonRow

WHOSE = (
    CaseRow.person, CaseRow.eye, CaseRow.site, PersonRow.name, PersonRow.village,
    PersonRow.camp_code,
)  # fmt: skip


def eyes_of(sites: Iterable[str], *more):  # type: ignore[no-untyped-def]  # noqa: ANN002, ANN201 - peewee's own
    """Return a query of the eyes of these sites, each with WHOSE and some more columns."""
    query = CaseRow.select(*WHOSE, *more)
    joined = query.join(PersonRow, on=(PersonRow.person == CaseRow.person))
    return joined.where(CaseRow.site << list(sites))
