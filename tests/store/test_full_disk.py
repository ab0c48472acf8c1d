"""A full disk is told from other faults, however deep it lies."""

import errno
import sqlite3

import peewee
import pytest

from webapp.store.full_disk import is_full


def full_sqlite() -> sqlite3.Error:
    """Return the error of a database that may not grow."""
    database = sqlite3.connect(":memory:")
    database.execute("PRAGMA max_page_count = 2")
    database.execute("CREATE TABLE t (x)")
    with pytest.raises(sqlite3.OperationalError) as caught:
        database.execute("INSERT INTO t VALUES (zeroblob(100000))")
    return caught.value


class DiskFull(Exception):
    """As the driver of PostgreSQL reports it."""

    sqlstate = "53100"


def test_each_database_says_it_in_its_own_way() -> None:
    """SQLite by its code, PostgreSQL by its state, the system by its number."""
    assert is_full(full_sqlite())
    assert is_full(DiskFull())
    assert is_full(OSError(errno.ENOSPC, "No space left on device"))


def test_found_behind_what_hides_it() -> None:
    """The library wraps it, and a rollback that fails comes after it."""
    try:
        try:
            raise full_sqlite()
        except sqlite3.Error as error:
            raise peewee.OperationalError(str(error)) from error
    except peewee.OperationalError:
        with pytest.raises(sqlite3.OperationalError) as caught:
            sqlite3.connect(":memory:").execute("ROLLBACK")
    assert is_full(caught.value)


def test_other_faults_are_not_that() -> None:
    """A locked database, a missing table and a bug are faults of their own."""
    with pytest.raises(sqlite3.OperationalError) as caught:
        sqlite3.connect(":memory:").execute("SELECT * FROM missing")
    assert not is_full(caught.value)
    assert not is_full(OSError(errno.EACCES, "Permission denied"))
    assert not is_full(ValueError("database or disk is full"))
