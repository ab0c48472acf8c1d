"""Push and pull while the journal grows from ten thousand rows to a million, against bare SQLite.

Both databases hold the same number of rows before each measurement, and get the same new ones.
"""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from itertools import islice
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.bench import background, bare_sqlite, camp_records, figures, hospital, sync
from tests.bench.background import SITES, Background
from tests.bench.camp_records import CampPhone
from tests.bench.figures import Line
from tests.bench.senders import BATCH, PHONES, enrol_all
from tests.bench.sync import Round

SIZES = (10_000, 100_000, 1_000_000)
"""Rows in the journal before each measurement."""
ROUNDS = 4
ALL_ROUNDS = ROUNDS * len(SIZES)
FEWEST_ROWS = len(PHONES) * BATCH * ALL_ROUNDS
PAIRS = (("push", "insert", "executemany"), ("pull", "select", "SELECT"))
"""Ours, what it is held against, and how that is called."""
PEOPLE = 40
"""Different people whose records the background copies."""


def run(rows: int) -> Iterator[Line]:
    """Measure at each size, with ``rows`` records pushed between them or as few as will do."""
    with TemporaryDirectory(prefix="lampside-bench-") as folder:
        data_dir = Path(folder) / "data"
        with hospital.prepared(data_dir) as reference:
            senders = enrol_all(max(rows, FEWEST_ROWS), reference)
            phone = CampPhone("u-ambler", SITES[0])
            people = list(islice(camp_records.people(phone, reference), PEOPLE))
        server_database = data_dir / "lampside.sqlite3"
        with (
            hospital.serving(data_dir) as base,
            bare_sqlite.opened(Path(folder) / "bare.sqlite3", server_database) as bare,
            ThreadPoolExecutor(len(senders)) as phones,
        ):
            found: dict[int, list[Round]] = {}
            ours = Background(people, {})
            bare_rows = Background(people, dict.fromkeys(SITES, -max(SIZES)))
            for place, size in enumerate(SIZES):
                more = size - (SIZES[place - 1] if place else 0)
                ours.heads |= background.heads_of(server_database)
                background.fill_server(server_database, ours, more)
                background.fill_bare(bare.connection, bare_rows, more)
                # Anew each time: the server closes a connection that has been silent for long.
                for sender in senders:
                    sender.sign_in(base)
                found[size] = [
                    sync.one_round(
                        senders, bare, phones, place * ROUNDS + turn, base, ALL_ROUNDS
                    )
                    for turn in range(ROUNDS)
                ]  # fmt: skip
                for sender in senders:
                    sender.client.close()
    for size, rounds in found.items():
        yield from lines(size, rounds, found[SIZES[0]])


def lines(size: int, rounds: list[Round], smallest: list[Round]) -> Iterator[Line]:
    """Yield the lines of one size: against bare SQLite, and against the smallest size."""
    for name, other_name, other in PAIRS:
        ours = [getattr(one, name) for one in rounds]
        took = [one_ms for one in rounds for one_ms in getattr(one, f"{name}_requests_ms")]
        about = {
            "rows_before": size, "request_ms": sync.latency(took), "times": "ms for 1000 rows",
            "cpu_us_a_row": sync.cpu_us_of(rounds, name, other_name),
        }  # fmt: skip
        bare = [getattr(one, other_name) for one in rounds]
        told = {"other": f"sqlite3 {other} in a journal of the same size"}
        yield figures.ratio(f"growth.{name}", ours, bare, {**about, **told})
        before = [one.cpu_us[name] for one in smallest]
        now = [one.cpu_us[name] for one in rounds]
        told = {"times": "ms of the server's processor time for 1000 rows", "rows_before": size}
        told["other"] = f"the same with {SIZES[0]} rows before"
        yield figures.ratio(f"growth.{name}_over_smallest", now, before, told)
