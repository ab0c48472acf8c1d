"""What the benchmarks send is what a phone could send, and each phone's part is counted right."""

import sqlite3
from itertools import islice
from pathlib import Path

from tests.bench import background, bare_sqlite, camp_records, many_people, senders, sync
from tests.bench.background import Background
from tests.bench.camp_records import CampPhone
from tests.bench.plan import REFERENCE
from webapp.records.envelope import open_envelope, verify_record

TABLES = (
    f"CREATE TABLE journal ({', '.join(bare_sqlite.COLUMNS)}, PRIMARY KEY (id), UNIQUE (site, n))",
    "CREATE TABLE site_counter (site PRIMARY KEY, head)",
    "CREATE TABLE person_row (person PRIMARY KEY, site, name, village, camp_code, words, fold,"
    " changes, computed_for)",
)


def test_records_are_genuine_and_chained() -> None:
    """A person's records open, verify, follow one another and end with a request of each eye."""
    phone = CampPhone("u-ambler", "saltpan")
    made = next(camp_records.people(phone, REFERENCE))
    opened = [open_envelope(record.envelope()) for record in made]
    for record in opened:
        verify_record(record, phone.key.spki)
    assert [record.payload["seq"] for record in opened] == list(range(1, len(made) + 1))
    assert [record.payload["prev"] for record in opened[1:]] == [
        record.id for record in opened[:-1]
    ]
    assert opened[-1].payload["kind"] == "plan.request"


def test_no_two_people_share_an_id() -> None:
    """Neither on one phone nor between two."""
    phones = [CampPhone("u-ambler", "saltpan") for _ in range(2)]
    people = [p for phone in phones for p in islice(camp_records.people(phone, REFERENCE), 3)]
    assert len({person[0].payload["person"] for person in people}) == 6


def test_rows_are_numbered_on_within_a_site() -> None:
    """Bare SQLite gets the numbers that the server's own counter would give."""
    phone = CampPhone("u-ambler", "saltpan")
    made = camp_records.records(phone, REFERENCE, 5)
    heads = {"saltpan": 10}
    first = senders.batch_of("saltpan", made[:3], heads)
    second = senders.batch_of("saltpan", made[3:], heads)
    assert [row[2] for row in first.rows + second.rows] == [11, 12, 13, 14, 15]
    assert first.rows[0][0] == made[0].id


def test_each_round_takes_its_share_and_nothing_is_left() -> None:
    """Thirteen batches in five rounds: each once, in order."""
    batches = list(range(13))
    shares = [sync.share(batches, number) for number in range(sync.ROUNDS)]
    assert [one for share in shares for one in share] == batches
    assert {len(share) for share in shares} == {2, 3}


def test_the_background_is_numbered_on_and_no_id_comes_twice(tmp_path: Path) -> None:
    """The server's counters agree with the rows, and each person stands beside theirs."""
    made = list(islice(camp_records.people(CampPhone("u-ambler", "saltpan"), REFERENCE), 3))
    path = tmp_path / "grown.sqlite3"
    database = sqlite3.connect(path)
    for table in TABLES:
        database.execute(table)
    grown = Background(made, {"saltpan": 7})
    background.fill_server(path, grown, 500)
    background.fill_server(path, grown, 250)
    counts = dict(database.execute("SELECT site, COUNT(*) FROM journal GROUP BY site"))
    heads = dict(database.execute("SELECT site, head FROM site_counter"))
    assert sum(counts.values()) == 750
    assert heads == {site: n + (7 if site == "saltpan" else 0) for site, n in counts.items()}
    (registered,) = database.execute(
        "SELECT COUNT(*) FROM journal WHERE kind = 'person.registered'"
    ).fetchone()
    assert database.execute("SELECT COUNT(*) FROM person_row").fetchone() == (registered,)


def test_copies_of_a_person_share_no_id_and_are_like_nobody() -> None:
    """Neither ids nor names, sounds or phones come twice, in columns and inside payloads."""
    old, record = "0193a5c0-0001-7000-8000-000000000001", "a" * 64
    original = {
        "person_row": [{"person": old, "name": "Orla Fen", "words": "orla fen", "fold": record}],
        "journal": [
            {"id": record, "n": 3, "payload": f'{{"person":"{old}","phone":null}}'.encode()}
        ],
        "case_row": [{"state": "queued"}, {"state": "followed"}],
    }
    made = list(many_people.copies([original], 40))
    assert len(made) == 40
    rows = [person["person_row"][0] for person in made]
    for column in ("person", "fold", "name", "name_key", "sound_key", "phone_key"):
        assert len({row[column] for row in rows}) == 40, column
    assert all(record not in row["fold"] and old not in row["person"] for row in rows)
    assert all(row["person"].encode() in one["journal"][0]["payload"]
               for row, one in zip(rows, made, strict=True))  # fmt: skip
