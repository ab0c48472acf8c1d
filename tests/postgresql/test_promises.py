"""What PostgreSQL has to promise in SQLite's place."""

import threading

import pytest
from peewee import IntegrityError

from tests.hospital import Hospital
from webapp.store import database, installation
from webapp.store.addresses import is_postgresql
from webapp.store.database import writing
from webapp.store.journal import Journal


class TestPromises:
    """Durability, one writer, and a journal that only grows."""

    def test_this_lane_runs_on_postgresql(self, hospital: Hospital) -> None:
        """Else every other test of it would judge SQLite a second time."""
        assert is_postgresql(database.database)

    def test_a_commit_waits_for_the_disk(self, hospital: Hospital) -> None:
        """Whatever the server's own default is, each connection asks for it."""
        (answer,) = database.database.execute_sql("SHOW synchronous_commit").fetchone()
        assert answer == "on"

    def test_the_journal_cannot_be_emptied(self, hospital: Hospital) -> None:
        """``TRUNCATE`` is refused like any other removal (I10)."""
        hospital.phone().register()
        with pytest.raises(IntegrityError, match="append-only"):
            database.database.execute_sql("TRUNCATE journal")
        assert Journal.select().count() == 1

    def test_a_second_writer_of_another_process_waits(self, hospital: Hospital) -> None:
        """The lock is the database's: it is held from the start of a transaction to its end."""
        held: list[bool] = []

        def other() -> None:
            with database.connection(), database.database.atomic():
                statement = "SELECT pg_try_advisory_xact_lock(7061)"
                held.append(database.database.execute_sql(statement).fetchone()[0])

        for block in (writing, database.connection):
            with block():
                thread = threading.Thread(target=other)
                thread.start()
                thread.join(10)
        assert held == [False, True]

    def test_seconds_outgrow_32_bits(self, hospital: Hospital) -> None:
        """An epoch is a number of seconds, and 2038 will come."""
        assert installation.raise_epoch(5_000_000_000) == 5_000_000_000
        assert installation.epoch() == 5_000_000_000
