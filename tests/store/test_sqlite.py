"""What SQLite alone has: a log that waits for the disk, and one lock of the whole file."""

import threading

from tests.hospital import Hospital
from webapp.store import database
from webapp.store.database import writing


class TestDurability:
    """What a receipt promises."""

    def test_the_database_waits_for_the_disk(self, hospital: Hospital) -> None:
        """Write-ahead log with synchronous=FULL (2), on every connection."""
        ask = database.database.execute_sql
        assert ask("PRAGMA journal_mode").fetchone()[0] == "wal"
        assert ask("PRAGMA synchronous").fetchone()[0] == 2

    def test_a_transaction_holds_the_write_lock_from_its_start(self, hospital: Hospital) -> None:
        """A second writer waits at its first statement and does not fail at its last."""
        entered, seen = threading.Event(), []

        def other() -> None:
            with database.connection():
                database.database.execute_sql("PRAGMA busy_timeout = 0")
                try:
                    # As another process would: the threads of this one queue at ``writing``.
                    with database.database.atomic():
                        seen.append("entered")
                except Exception as error:
                    seen.append(str(error))
                entered.set()

        with writing():
            thread = threading.Thread(target=other)
            thread.start()
            assert entered.wait(10)
            thread.join()
        assert seen == ["database is locked"]

    def test_threads_queue_without_asking_the_database(self, hospital: Hospital) -> None:
        """A second thread waits for the first even where SQLite would refuse it at once."""
        asking, order = threading.Event(), []

        def other() -> None:
            with database.connection():
                database.database.execute_sql("PRAGMA busy_timeout = 0")
                asking.set()
                with writing():
                    order.append("second")

        with writing():
            thread = threading.Thread(target=other)
            thread.start()
            assert asking.wait(10)
            # Refused, it would be over by now.
            thread.join(0.2)
            assert thread.is_alive()
            order.append("first")
        thread.join(10)
        assert order == ["first", "second"]
