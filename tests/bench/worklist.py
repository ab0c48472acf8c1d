"""The desk's lists with twenty thousand open eyes, each beside the same page of the demo alone.

Both hospitals run at the same time and each page is asked for in turn of one and of the other. The
first page after midnight is timed once: every fold is of the day before then.
"""

import sqlite3
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter

from tests.bench import figures, hospital, many_people
from tests.bench.figures import Line
from tests.bench.hospital import Client
from tests.browser.base import Base
from webapp.demo_people import SITES
from webapp.flow import casefile, recheck

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


def run(_rows: int) -> Iterator[Line]:
    """Measure each page in both hospitals."""
    with TemporaryDirectory(prefix="lampside-bench-") as folder:
        small, large = Path(folder) / "small", Path(folder) / "large"
        for data_dir in (small, large):
            with hospital.prepared(data_dir):
                sites = frozenset(SITES)
                recheck.run_waiting(sites)
                casefile.refresh_sites(sites)
        people = many_people.fill(large / "lampside.sqlite3", OPEN_EYES)
        about = {"open_eyes": OPEN_EYES, "people_added": people, "aim": AIM}
        with hospital.serving(small) as few, hospital.serving(large) as many:
            pages = {**PAGES, "worklist_last_page": f"/desk/?page={last_page(many)}"}
            for name, address in pages.items():
                # Anew each time: the server closes a connection that has been silent for long.
                clients = Client(few, WHO), Client(many, WHO)
                before_s = many.cpu_s()
                line = measured(name, address, clients, about)
                cpu_ms = (many.cpu_s() - before_s) * 1000.0 / ROUNDS
                yield line._replace(conditions={"cpu_ms_a_page": cpu_ms, **line.conditions})
                for client in clients:
                    client.close()
        yield first_of_the_day(large, about)


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
    connection = sqlite3.connect(data_dir / "lampside.sqlite3")
    with connection:
        connection.execute("UPDATE person_row SET computed_for = 'the day before'")
    connection.close()
    with hospital.serving(data_dir) as base:
        client = Client(base, WHO)
        took_ms = _took_ms(client, "/desk/")
        client.close()
    return Line("lists.first_page_of_the_day", took_ms, "ms", {**about, **figures.machine()})
