"""What recomputing each received plan gave: agrees, differs, or made by another core."""

from collections.abc import Iterable

from peewee import CharField, TextField

from webapp.store.database import Row

WAITING = "waiting"


class PlanCheck(Row):
    """One plan request or approval and the outcome of computing its plan again."""

    record = CharField(64, primary_key=True)
    person = CharField(index=True)
    site = CharField()
    result = CharField(index=True)
    text = TextField(default="")
    core = CharField(64, default="")


def expect(record: str, person: str, site: str) -> None:
    """Note that this plan is still to be computed again; call where it is stored."""
    PlanCheck.create(record=record, person=person, site=site, result=WAITING)


def waiting(sites: Iterable[str], limit: int) -> list[str]:
    """Return ids of plans of these sites that are still to be computed again."""
    query = PlanCheck.select(PlanCheck.record).where(
        PlanCheck.site << list(sites), PlanCheck.result == WAITING
    )
    return [row[0] for row in query.limit(limit).tuples()]


def keep(record: str, result: str, text: str, core: str) -> None:
    """Keep the outcome for one plan."""
    PlanCheck.update(result=result, text=text, core=core).where(
        PlanCheck.record == record
    ).execute()


def of_person(person: str) -> dict[str, PlanCheck]:
    """Return record id -> check for every plan of a person."""
    return {row.record: row for row in PlanCheck.select().where(PlanCheck.person == person)}


def of_sites(sites: Iterable[str]) -> list[PlanCheck]:
    """Return the checks of these sites that have been made."""
    query = PlanCheck.select().where(
        PlanCheck.site << list(sites), PlanCheck.result != WAITING
    )
    return list(query.order_by(PlanCheck.record))
