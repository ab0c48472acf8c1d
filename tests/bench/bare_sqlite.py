"""The same rows put into bare SQLite: the floor that the server's push and pull stand on."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

COLUMNS = (
    "id", "site", "n", "kind", "person", "eye", "author", "kid", "payload", "signature",
    "received_at",
)  # fmt: skip
MARKS = ", ".join("?" * len(COLUMNS))
INSERT = f"INSERT INTO journal ({', '.join(COLUMNS)}) VALUES ({MARKS})"  # noqa: S608 - names above
SELECT = (
    f"SELECT {', '.join(COLUMNS)} FROM journal"  # noqa: S608 - names above
    " WHERE site = ? AND n > ? ORDER BY n LIMIT ?"
)
Row = tuple[object, ...]


class BareJournal:
    """A database with the server's own journal table, its indexes and its durability."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self.connection = connection

    def insert(self, batch: list[Row]) -> None:
        """Store one batch as one transaction that is on the disk before this returns."""
        with self.connection:
            self.connection.executemany(INSERT, batch)

    def select_after(self, site: str, n: int, limit: int) -> list[Row]:
        """Return a page of a site's rows."""
        return self.connection.execute(SELECT, (site, n, limit)).fetchall()


@contextmanager
def opened(path: Path, server_database: Path) -> Iterator[BareJournal]:
    """Make a database whose journal has the shape that the server's has, and open it."""
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA journal_mode = wal")
    connection.execute("PRAGMA synchronous = full")
    for statement in shape_of(server_database):
        connection.execute(statement)
    try:
        yield BareJournal(connection)
    finally:
        connection.close()


def shape_of(server_database: Path) -> list[str]:
    """Return the statements that make the server's journal table and its indexes."""
    connection = sqlite3.connect(server_database)
    found = connection.execute(
        "SELECT sql FROM sqlite_master WHERE tbl_name = 'journal' AND sql IS NOT NULL"
        " AND type IN ('table', 'index') ORDER BY type DESC"
    ).fetchall()
    connection.close()
    return [str(sql) for (sql,) in found]
