"""What recomputing each received plan gave: agrees, differs, or made by an unknown core."""

from collections.abc import Iterable

from peewee import CharField, IntegerField, TextField, fn

from webapp.store.database import Row, read, rows_of, run

WAITING = "waiting"
_EXPECT = (
    "INSERT INTO plan_check (record, person, eye, site, result, position, text, core, made_by)"
    " SELECT ?, ?, ?, ?, ?, COALESCE(MAX(position), 0) + 1, '', '', ? FROM plan_check"
)


class PlanCheck(Row):
    """One plan request or approval and the outcome of computing its plan again."""

    record = CharField(64, primary_key=True)
    person = CharField(index=True)
    eye = CharField(1)
    site = CharField()
    position = IntegerField(index=True)
    """Rises with every plan received, so that the newest of an eye is known."""
    result = CharField()
    text = TextField(default="")
    core = CharField(64, default="")
    """The core in use when it was computed again."""
    made_by = CharField(64, index=True)
    """The core that the plan names."""

    class Meta:
        """The lists ask each time for what waits at some sites."""

        indexes = ((("result", "site"), False),)


def expect(record: str, person: str, eye: str, site: str, made_by: str) -> None:
    """Note that this plan is still to be computed again; call where it is stored."""
    # Written out: the library takes longer to build two statements than the database to run one.
    run(_EXPECT, record, person, eye, site, WAITING, made_by)


def newest_by_eye(persons: Iterable[str]) -> dict[tuple[str, str], str]:
    """Return (person, eye) -> result of the newest plan of these people."""
    query = PlanCheck.select(PlanCheck.person, PlanCheck.eye, PlanCheck.result)
    ordered = query.where(PlanCheck.person << list(persons)).order_by(PlanCheck.position)
    return {(person, eye): result for person, eye, result in rows_of(ordered)}


def waiting(sites: Iterable[str], limit: int) -> list[str]:
    """Return ids of plans of these sites that are still to be computed again."""
    query = PlanCheck.select(PlanCheck.record).where(
        PlanCheck.site << list(sites), PlanCheck.result == WAITING
    )
    return [row[0] for row in rows_of(query.limit(limit))]


def keep(record: str, result: str, text: str, core: str) -> None:
    """Keep the outcome for one plan."""
    run("UPDATE plan_check SET result = ?, text = ?, core = ? WHERE record = ?",
        result, text, core, record)  # fmt: skip


def of_person(person: str) -> dict[str, PlanCheck]:
    """Return record id -> check for every plan of a person."""
    return {row.record: row for row in read(PlanCheck, "WHERE person = ?", person)}


def of_sites(sites: Iterable[str], limit: int = 500) -> list[PlanCheck]:
    """Return the newest checks of these sites that have been made, newest first."""
    query = PlanCheck.select().where(PlanCheck.site << list(sites), PlanCheck.result != WAITING)
    return list(query.order_by(PlanCheck.position.desc()).limit(limit))


def count_by_core() -> dict[str, int]:
    """Return core -> how many plans name it."""
    counted = PlanCheck.select(PlanCheck.made_by, fn.COUNT(PlanCheck.record))
    return {core: count for core, count in rows_of(counted.group_by(PlanCheck.made_by))}
