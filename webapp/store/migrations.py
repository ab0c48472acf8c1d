"""Making the tables of a new database, and refusing one this program does not understand."""

from webapp.store import accounts, chains, devices, gaps, installation, journal, quarantine
from webapp.store.addresses import is_postgresql
from webapp.store.database import database, writing
from webapp.store.projections import cases, orders, plan_checks

SHAPE = 2
"""Raised with every change of the tables."""

TABLES = [
    installation.Installation, installation.Site,
    accounts.User, accounts.UserRole, accounts.Session, devices.Device,
    journal.Journal, journal.SiteCounter, chains.ChainHead, journal.Superseded,
    quarantine.RefusedRecord, quarantine.Decision, gaps.DeclaredGap,
    cases.PersonRow, cases.CaseRow, plan_checks.PlanCheck, orders.OrderLine,
]  # fmt: skip

REFUSE_CHANGE = (
    "CREATE TRIGGER journal_no_{verb} BEFORE {verb} ON journal "
    "BEGIN SELECT RAISE(ABORT, 'the journal is append-only'); END"
)
# PostgreSQL can also empty a table at a stroke, so that is refused as well.
REFUSE_ALL_CHANGES = (
    "CREATE FUNCTION journal_is_append_only() RETURNS trigger LANGUAGE plpgsql AS "
    "$$ BEGIN RAISE integrity_constraint_violation USING MESSAGE = 'the journal is append-only'; "
    "END $$",
    "CREATE TRIGGER journal_no_change BEFORE UPDATE OR DELETE OR TRUNCATE ON journal "
    "EXECUTE FUNCTION journal_is_append_only()",
)


class WrongShape(RuntimeError):
    """The database is new, or of another version; the message says what to do."""


def is_made() -> bool:
    """Say whether this database has its tables."""
    return bool(database.table_exists("installation"))


def make_tables(now_s: int) -> None:
    """Make every table, arm the triggers that refuse changes, and set the first epoch.

    Args:
        now_s: seconds since 1970, the first epoch: another database gets another one.
    """
    with writing():
        database.create_tables(TABLES, safe=False)
        database.execute_sql(orders.LIVE_ONCE)
        for statement in refusals():
            database.execute_sql(statement)
        installation.Installation.create(epoch=now_s, shape=SHAPE)


def refusals() -> tuple[str, ...]:
    """Return the statements that arm the journal against changes, in this database's words."""
    if is_postgresql(database):
        return REFUSE_ALL_CHANGES
    return tuple(REFUSE_CHANGE.format(verb=verb) for verb in ("UPDATE", "DELETE"))


def check_shape() -> None:
    """Raise WrongShape unless the tables are those this program expects."""
    if not is_made():
        raise WrongShape("The database is empty. Make it first: python3 -m webapp init")
    found = installation.Installation.get().shape
    if found != SHAPE:
        raise WrongShape(
            f"The database has shape {found}, but this program expects {SHAPE}. "
            "Start the version of the program that belongs to this database."
        )
