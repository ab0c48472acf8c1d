"""The journal: append-only by the database's own hand, dense and in commit order for readers."""

import threading

import pytest
from peewee import IntegrityError

from tests.hospital import Hospital, person_body, width_body
from webapp.flow import receive
from webapp.store import chains, database, journal, quarantine
from webapp.store.database import writing
from webapp.store.journal import Journal, SiteCounter
from webapp.store.projections import cases

WIDTH = "reading.white_to_white"


class TestAppendOnly:
    """Nothing that was stored is ever changed or removed (I10)."""

    @pytest.mark.parametrize("column", ["payload", "author", "n", "received_at"])
    def test_no_column_can_be_changed(self, hospital: Hospital, column: str) -> None:
        """The database refuses an update, whoever asks."""
        hospital.phone().register()
        with pytest.raises(IntegrityError, match="append-only"):
            database.database.execute_sql(f"UPDATE journal SET {column} = {column}")  # noqa: S608

    def test_no_row_can_be_removed(self, hospital: Hospital) -> None:
        """The database refuses a delete, whoever asks."""
        hospital.phone().register()
        with pytest.raises(IntegrityError, match="append-only"):
            Journal.delete().execute()
        assert Journal.select().count() == 1

    def test_a_number_is_given_once(self, hospital: Hospital) -> None:
        """Two records cannot share a number at a site, even by a fault of the program."""
        hospital.phone().register()
        SiteCounter.update(head=0).where(SiteCounter.site == "saltpan").execute()
        phone = hospital.phone()
        with pytest.raises(Exception, match=r"(?i)unique"):  # the driver's own, of either database
            phone.register()
        assert Journal.select().count() == 1


class TestAllOrNothing:
    """A batch is stored whole or not at all."""

    def test_a_fault_half_way_leaves_nothing(
        self, hospital: Hospital, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Rows, counter, chain and read models go back together, and a resend is stored."""
        phone = hospital.phone()
        person = "0193a5c0-0000-7000-8000-0000000000aa"
        batch = [
            phone.record("person.registered", person, None, person_body()),
            phone.record(WIDTH, person, "R", width_body()),
        ]

        def fail(_persons: object) -> None:
            raise OSError("disk full")

        with monkeypatch.context() as broken:
            broken.setattr(cases, "mark_changed", fail)
            with pytest.raises(OSError, match="disk full"):
                phone.push(*batch)
        assert Journal.select().count() == 0
        assert journal.head("saltpan") == 0
        assert chains.heads([phone.kid]) == {}
        assert cases.find(person) is None
        assert [receipt.result for receipt in phone.push(*batch)] == ["stored", "stored"]


class TestReaders:
    """What a poller sees while several phones push at once."""

    PHONES = 4
    BATCHES = 6

    def test_misses_nothing_and_sees_nothing_twice(self, hospital: Hospital) -> None:
        """Four phones push to one site while a reader follows: 1, 2, 3 ... without a gap."""
        phones = [hospital.phone() for _ in range(self.PHONES)]
        person = phones[0].register()
        batches = [
            [[p.record(WIDTH, person, "R", width_body()) for _ in range(3)]
             for _ in range(self.BATCHES)]
            for p in phones
        ]  # fmt: skip
        expected = 1 + self.PHONES * self.BATCHES * 3
        results: list[str] = []
        seen: list[int] = []
        done = threading.Event()

        def push(number: int) -> None:
            with database.connection():
                for batch in batches[number]:
                    receipts = receive.push(phones[number].actor, list(batch))
                    results.extend(receipt.result for receipt in receipts)

        def follow() -> None:
            with database.connection():
                while len(seen) < expected:
                    after = seen[-1] if seen else 0
                    seen.extend(entry.n for entry in journal.entries_after("saltpan", after, 7))
                    if done.is_set() and len(seen) >= journal.head("saltpan"):
                        return

        writers = [threading.Thread(target=push, args=(n,)) for n in range(self.PHONES)]
        reader = threading.Thread(target=follow)
        for thread in (reader, *writers):
            thread.start()
        for thread in writers:
            thread.join()
        done.set()
        reader.join()
        assert results == ["stored"] * (expected - 1)
        assert seen == list(range(1, expected + 1))


class TestDurability:
    """What a receipt promises."""

    def test_quarantine_can_be_emptied_but_not_the_journal(self, hospital: Hospital) -> None:
        """A record let in after all leaves quarantine; that is not a deletion of anything kept."""
        phone = hospital.phone()
        stray = phone.record(WIDTH, "0193a5c0-0000-7000-8000-0000000000bb", "R", width_body())
        phone.push(stray)
        assert quarantine.RefusedRecord.select().count() == 1
        with writing():
            quarantine.release([phone.prev or ""])
        assert quarantine.RefusedRecord.select().count() == 0
