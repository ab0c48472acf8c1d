"""Rows that lie in a journal already: copies of real records under other ids, put in quickly.

Their payloads are those of a camp's people, so that pages and trees have the size they would have;
their ids are made up, so nobody can verify them, and the benchmarks read none of them.
"""

import hashlib
import sqlite3
from collections.abc import Iterator
from itertools import count, islice
from pathlib import Path

from tests.bench.bare_sqlite import INSERT, Row
from tests.bench.camp_records import Signed
from tests.bench.senders import PHONES, row_of

SITES = tuple(sorted({site for _, site in PHONES}))
A_TRANSACTION = 20_000
RECEIVED = "2026-11-01T08:00:00Z"
PERSON = (
    "INSERT INTO person_row (person, site, name, village, camp_code, words, fold, changes,"
    " computed_for) VALUES (?, ?, '', '', '', '', '', 0, '')"
)
HEAD = (
    "INSERT INTO site_counter (site, head) VALUES (?, ?)"
    " ON CONFLICT (site) DO UPDATE SET head = excluded.head"
)


class Background:
    """Endless rows, one person after another, the people shared out over the sites."""

    def __init__(self, people: list[list[Signed]], heads: dict[str, int]) -> None:
        self.heads = dict(heads)
        """Number of the newest row of each site; a site that is not named begins at 0."""
        self._rows = self._all(people)

    def take(self, rows: int) -> list[Row]:
        """Return the next rows."""
        return list(islice(self._rows, rows))

    def _all(self, people: list[list[Signed]]) -> Iterator[Row]:
        for number in count():
            site = SITES[number % len(SITES)]
            for place, record in enumerate(people[number % len(people)]):
                n = self.heads[site] = self.heads.get(site, 0) + 1
                made_up = hashlib.sha256(f"{number}/{place}".encode()).hexdigest()
                _, _, _, kind, _, *rest = row_of(record, n, RECEIVED)
                yield (made_up, site, n, kind, person_id(number), *rest)


def person_id(number: int) -> str:
    """Return the id of a person of the background."""
    return f"0193a5c0-0000-7000-9000-{number:012x}"


def heads_of(path: Path) -> dict[str, int]:
    """Return the number of the newest row of each site in the server's database."""
    connection = sqlite3.connect(path)
    try:
        return dict(connection.execute("SELECT site, head FROM site_counter"))
    finally:
        connection.close()


def fill_server(path: Path, background: Background, rows: int) -> None:
    """Put rows into the server's own database, with what the store keeps beside them."""
    connection = sqlite3.connect(path, timeout=60.0)
    try:
        for made in _in_parts(background, rows):
            known = {row[4]: row[1] for row in made if row[3] == "person.registered"}
            with connection:
                connection.executemany(INSERT, made)
                connection.executemany(PERSON, known.items())
                connection.executemany(HEAD, background.heads.items())
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    finally:
        connection.close()


def fill_bare(connection: sqlite3.Connection, background: Background, rows: int) -> None:
    """Put rows into the bare journal."""
    for made in _in_parts(background, rows):
        with connection:
            connection.executemany(INSERT, made)
    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def _in_parts(background: Background, rows: int) -> Iterator[list[Row]]:
    for start in range(0, rows, A_TRANSACTION):
        yield background.take(min(A_TRANSACTION, rows - start))
