"""The one database, named by an address at start; every model is bound to it late.

SQLite runs with a write-ahead log and ``synchronous=FULL``: a receipt is only sent for what would
survive a power cut. Transactions that write start as IMMEDIATE, so that two writers queue instead
of failing half-way; on PostgreSQL they queue at a lock of the whole database. Counters of each site
alone would let camps write side by side, but every rule that looks before it writes would then have
to be proved again.
"""

import logging
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from threading import RLock
from typing import Any, TypeVar

from peewee import DatabaseProxy, Model, PeeweeException

from webapp.store.addresses import ONE_WRITER_SQL, BadAddress, database_at, file_of, is_postgresql

database = DatabaseProxy()

# Whatever level the server logs at: the library's own log writes down values, names included.
logging.getLogger("peewee").setLevel(logging.WARNING)

# SQLite's own waiting is by ever longer naps; threads of one process queue here without them.
_one_writer = RLock()

CHUNK = 500
"""Databases limit how many values one statement may carry."""


class Row(Model):
    """Base of every table."""

    class Meta:
        """Bound by ``bind``."""

        database = database
        legacy_table_names = False


R = TypeVar("R", bound=Row)


def bind(url: str) -> None:
    """Point every model at the database of this address, without touching it yet.

    Args:
        url: as ``addresses.database_at`` takes it.

    Raises:
        BadAddress: the address is not of a supported database.
    """
    found = database_at(url)
    let_go()
    database.initialize(found)


def let_go() -> None:
    """Close the connections that PostgreSQL's pool keeps, used or idle; SQLite keeps none."""
    if database.obj is not None and is_postgresql(database):
        database.close_all()


def rows_of(query: Any) -> list[tuple[Any, ...]]:  # noqa: ANN401 - peewee's types name no rows
    """Return the rows of a query as the driver gives them: a third of the library's own time."""
    return list(database.execute(query).fetchall())


def run(statement: str, *values: object) -> list[Any]:
    """Run one written-out statement, with ``?`` for each value, and return its rows.

    For what runs with every request: the library takes longer to build such a statement than the
    database to run it.
    """
    # The proxy looks up each name by name, which costs more than these statements.
    real = database.obj
    answer = real.execute_sql(statement.replace("?", real.param), values)
    return list(answer.fetchall()) if answer.description else []


def read(table: type[R], rest: str, *values: object) -> list[R]:
    """Return whole rows of a table by what is written out after its name, for each request.

    Args:
        table: the table's class.
        rest: ``WHERE``, ``ORDER BY`` and so on, with ``?`` for each value.
        values: the values.
    """
    names = table._meta.sorted_field_names
    rows = run(f"SELECT {', '.join(names)} FROM {table._meta.table_name} {rest}", *values)  # noqa: S608 - names from the program
    return [table(__no_default__=1, **dict(zip(names, row, strict=True))) for row in rows]


def insert(table: str, row: Mapping[str, object], otherwise: str = "") -> None:
    """Insert one row by a written-out statement, for what runs with every request.

    Args:
        table: its name.
        row: column -> value, the columns named in the program.
        otherwise: what follows the values, such as ``ON CONFLICT``.
    """
    marks = ", ".join("?" for _ in row)
    run(f"INSERT INTO {table} ({', '.join(row)}) VALUES ({marks}) {otherwise}", *row.values())  # noqa: S608 - names from the program


def rows_among(columns: str, table: str, key: str, values: Iterable[str]) -> list[Any]:
    """Return rows whose key is one of these values, in chunks that every database takes.

    Written out, since the library takes longer to build such a statement than to run it.

    Args:
        columns: names of columns, as written in the program.
        table: its name.
        key: the column that is looked up.
        values: what to look for; none costs nothing.
    """
    wanted = sorted(values)
    found: list[Any] = []
    real = database.obj
    for start in range(0, len(wanted), CHUNK):
        chunk = wanted[start : start + CHUNK]
        marks = ", ".join([real.param] * len(chunk))
        statement = f"SELECT {columns} FROM {table} WHERE {key} IN ({marks})"  # noqa: S608 - names from the program
        found += real.execute_sql(statement, chunk).fetchall()
    return found


def connect() -> None:
    """Open this thread's connection unless it is open.

    Raises:
        BadAddress: there is no such folder, no permission, the file is no database, or the server
            of the database does not answer.
    """
    try:
        database.connect(reuse_if_open=True)
    except PeeweeException as error:
        raise BadAddress(f"DATABASE_URL cannot be opened: {str(error).strip()}.") from error


def disconnect() -> None:
    """Close this thread's connection if it is open."""
    if not database.is_closed():
        database.close()


def _make_for_owner_only() -> None:
    """Make a file that is not there yet with a mode for its owner: it will hold patients.

    SQLite would leave that to the process's mask; the files it puts beside follow this one's mode.
    """
    file = file_of(database)
    if file is None:
        return
    with suppress(OSError):  # It is there, or cannot be: opening it says so.
        Path(file).touch(mode=0o600, exist_ok=False)


@contextmanager
def writing() -> Iterator[None]:
    """Run the block as one transaction that holds the write lock from its first statement."""
    with _one_writer, database.atomic():
        if is_postgresql(database):
            database.execute_sql(ONE_WRITER_SQL)
        yield


@contextmanager
def connection() -> Iterator[None]:
    """Hold a connection for the block: for commands, which have no request to open one."""
    _make_for_owner_only()
    connect()
    try:
        yield
    finally:
        disconnect()
