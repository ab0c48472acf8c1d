"""A few kills of the real server; the long run makes many."""

import sqlite3
from pathlib import Path

import pytest

from tests.browser.base import Base
from tests.faults import kills
from tests.faults.ready import Approved, Batch, Ready

TABLES = (
    "CREATE TABLE journal (id TEXT, site TEXT, n INTEGER, kind TEXT)",
    "CREATE TABLE site_counter (site TEXT, head INTEGER)",
    "CREATE TABLE order_line (order_id TEXT, approval TEXT)",
)


def test_ten_kills(tmp_path: Path) -> None:
    """Nothing acknowledged is lost, no batch is half there, no order is there twice."""
    found = kills.run(tmp_path, kills=10, seed=7)
    assert found.failures == []
    assert found.acknowledged > 0
    assert found.orders > 0
    assert found.cut_off > 0


@pytest.fixture
def database() -> sqlite3.Connection:
    """Return a small database in which all is well."""
    made = sqlite3.connect(":memory:")
    for statement in TABLES:
        made.execute(statement)
    rows = [("a", "s", 1, "x"), ("b", "s", 2, "x"), ("o", "s", 3, "order.placed")]
    made.executemany("INSERT INTO journal VALUES (?, ?, ?, ?)", rows)
    made.execute("INSERT INTO site_counter VALUES ('s', 3)")
    made.execute("INSERT INTO order_line VALUES ('o', 'p')")
    return made


def broken(database: sqlite3.Connection, batch: list[str]) -> list[str]:
    """Return what the check finds when this batch and the order were acknowledged."""
    todo = Ready([Batch(b"", batch)], [Approved("", "R", "p")])
    work = kills.Work(Base(Path(), Path()), todo)
    work.pushed = work.ordered = 1
    return kills.broken(database, work)


def test_the_check_sees_what_it_is_for(database: sqlite3.Connection) -> None:
    """Each promise broken by hand is named."""
    assert broken(database, ["a", "b"]) == []
    assert "half a batch is stored" in broken(database, ["a", "c"])
    assert "an acknowledged record is lost" in broken(database, ["c", "d"])
    database.execute("INSERT INTO order_line VALUES ('o2', 'p')")
    found = broken(database, ["a", "b"])
    assert "one approval was ordered twice" in found
    assert "the orders and their records do not agree" in found
    database.execute("DELETE FROM order_line")
    assert "an acknowledged order is lost" in broken(database, ["a", "b"])
    database.execute("DELETE FROM journal WHERE n = 2")
    assert "the numbers of s have a gap" in broken(database, ["a"])
