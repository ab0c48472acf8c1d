"""Making the tables of a new database, and refusing one this program does not understand."""

from webapp.store import (
    accounts,
    audit_log,
    chains,
    clocks,
    devices,
    gaps,
    installation,
    journal,
    proposals,
    quarantine,
    reset_codes,
)
from webapp.store.addresses import is_postgresql
from webapp.store.database import database, writing
from webapp.store.projections import cases, implants, joins, label_checks, orders, plan_checks

SHAPE = 15
"""Raised with every change of the tables."""

TABLES = [
    installation.Installation, installation.Site,
    accounts.User, accounts.UserRole, accounts.Session, devices.DeviceRow,
    journal.Journal, journal.SiteCounter, chains.ChainHead, journal.Superseded,
    clocks.DeviceClock, clocks.ClockFlag,
    quarantine.RefusedRecord, quarantine.Decision, gaps.DeclaredGap,
    audit_log.AuditRow, proposals.Proposal, reset_codes.ResetCode,
    cases.PersonRow, cases.CaseRow, plan_checks.PlanCheck, orders.OrderLine,
    implants.ImplantRow, joins.JoinRow, label_checks.LabelCheckRow,
]  # fmt: skip

APPEND_ONLY = {"journal": "the journal", "audit_row": "the audit log"}
"""Tables that are only ever added to, with their names in a sentence."""

REFUSE_CHANGE = (
    "CREATE TRIGGER {table}_no_{verb} BEFORE {verb} ON {table} "
    "BEGIN SELECT RAISE(ABORT, '{name} is append-only'); END"
)
# PostgreSQL can also empty a table at a stroke, so that is refused as well.
REFUSE_ALL_CHANGES = (
    "CREATE FUNCTION {table}_is_append_only() RETURNS trigger LANGUAGE plpgsql AS "
    "$$ BEGIN RAISE integrity_constraint_violation USING MESSAGE = '{name} is append-only'; "
    "END $$",
    "CREATE TRIGGER {table}_no_change BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
    "EXECUTE FUNCTION {table}_is_append_only()",
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
        for index in (orders.LIVE_ONCE, implants.LIVE_ONCE, implants.SERIAL_ONCE):
            database.execute_sql(index)
        for statement in refusals():
            database.execute_sql(statement)
        installation.Installation.create(epoch=now_s, shape=SHAPE)


def refusals() -> list[str]:
    """Return the statements that arm tables against changes, in this database's words."""
    on_postgresql = is_postgresql(database)
    return [
        statement.format(table=table, name=name, verb=verb)
        for table, name in APPEND_ONLY.items()
        for statement in (REFUSE_ALL_CHANGES if on_postgresql else (REFUSE_CHANGE,))
        for verb in (("",) if on_postgresql else ("UPDATE", "DELETE"))
    ]


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
