"""The desk's lists with twenty thousand open eyes, each beside the same page of the demo alone.

Both hospitals run at the same time and each page is asked for in turn of one and of the other. The
first page after midnight is timed once: every fold is of the day before then. The same can be
measured on a PostgreSQL of this machine; what it computes is counted with the server's own time.
"""

import os
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter

from tests.bench import figures, hospital, many_people
from tests.bench.figures import Line
from tests.bench.hospital import Client
from tests.browser.base import Base, cpu_s_of
from tests.postgresql import cluster, databases
from webapp.demo_people import SITES
from webapp.flow import kept_folds, recheck
from webapp.store import database

OPEN_EYES = 20_000
ROUNDS = 20
WHO = "fenn"
AIM = "p95 under 200 ms"
LAST = 9_999
PAGES = {
    "worklist": "/desk/",
    "worklist_of_a_state": "/desk/?state=queued",
    "worklist_of_a_site": "/desk/?site=saltpan",
    "worklist_search": "/desk/?q=Saltpan",
    "worklist_late": "/desk/?late=1",
    "recall": "/desk/recall",
    "orders": "/desk/orders/",
}
"""Name -> address; the last page of the worklist joins them once it is known which it is."""


def run_on_postgresql(rows: int) -> Iterator[Line]:
    """Measure the same on PostgreSQL."""
    with cluster.running() as address:
        os.environ[databases.SERVER] = address
        try:
            for line in run(rows):
                yield line._replace(name=f"postgresql.{line.name}")
        finally:
            database.let_go()
            del os.environ[databases.SERVER]


def run(_rows: int) -> Iterator[Line]:
    """Measure each page in both hospitals."""
    with TemporaryDirectory(prefix="lampside-bench-") as folder:
        small, large = Path(folder) / "small", Path(folder) / "large"
        for data_dir in (small, large):
            with hospital.prepared(data_dir):
                sites = frozenset(SITES)
                recheck.run_waiting(sites)
                kept_folds.refresh_sites(sites)
        with hospital.opened(large):
            people = many_people.fill(OPEN_EYES)
        about = {"open_eyes": OPEN_EYES, "people_added": people, "aim": AIM}
        with hospital.serving(small) as few, hospital.serving(large) as many:
            pages = {**PAGES, "worklist_last_page": f"/desk/?page={last_page(many)}"}
            for name, address in pages.items():
                # Anew each time: the server closes a connection that has been silent for long.
                clients = Client(few, WHO), Client(many, WHO)
                before_s = many.cpu_s() + database_cpu_s(large)
                line = measured(name, address, clients, about)
                after_s = many.cpu_s() + database_cpu_s(large)
                cpu_ms = (after_s - before_s) * 1000.0 / ROUNDS
                yield line._replace(conditions={"cpu_ms_a_page": cpu_ms, **line.conditions})
                for client in clients:
                    client.close()
        yield first_of_the_day(large, about)


def database_cpu_s(data_dir: Path) -> float:
    """Return the time of PostgreSQL's processes that serve a database [s]; SQLite has none."""
    if databases.SERVER not in os.environ:
        return 0.0
    with hospital.opened(data_dir):
        rows = database.run("SELECT pid FROM pg_stat_activity WHERE datname = current_database()")
    return sum(cpu_s_of(pid) for (pid,) in rows)


def last_page(base: Base) -> int:
    """Return the number of the worklist's last page, found by halving."""
    client = Client(base, WHO)
    low, high = 1, LAST
    while low < high:
        middle = (low + high + 1) // 2
        if b"data-row-link" in client.fetch(f"/desk/?page={middle}"):
            low = middle
        else:
            high = middle - 1
    client.close()
    return low


def measured(
    name: str, address: str, clients: tuple[Client, Client], about: dict[str, object]
) -> Line:
    """Ask both hospitals for a page in turn and return the line of their ratio."""
    few_ms, many_ms = [], []
    for _ in range(ROUNDS):
        few_ms.append(_took_ms(clients[0], address))
        many_ms.append(_took_ms(clients[1], address))
    p50_p95 = [figures.percentile(many_ms, percent) for percent in (50, 95)]
    told = {**about, "address": address, "other": "the same page of the demo alone"}
    return figures.ratio(f"lists.{name}", many_ms, few_ms, {**told, "p50_p95_ms": p50_p95})


def _took_ms(client: Client, address: str) -> float:
    started = perf_counter()
    client.fetch(address)
    return (perf_counter() - started) * 1000.0


def first_of_the_day(data_dir: Path, about: dict[str, object]) -> Line:
    """Return how long the first page takes when every fold is of the day before."""
    with hospital.opened(data_dir), database.writing():
        database.run("UPDATE person_row SET computed_for = 'the day before'")
    with hospital.serving(data_dir) as base:
        client = Client(base, WHO)
        took_ms = _took_ms(client, "/desk/")
        client.close()
    return Line("lists.first_page_of_the_day", took_ms, "ms", {**about, **figures.machine()})
