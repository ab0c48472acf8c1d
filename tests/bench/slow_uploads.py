"""A small request while eight phones upload slowly, against the same request on an idle server.

Camps have thin lines: an upload that takes half a minute must not keep the next phone waiting.
"""

import socket
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from threading import Event, Thread
from time import perf_counter

from tests.bench import figures, hospital
from tests.bench.figures import Line
from tests.bench.senders import PHONES
from tests.browser.base import Base

ROUNDS = 5
ASKED = 200
"""Small requests in each half of a round."""
PIECE_BYTES, PAUSE_S = 1000, 0.05
UPLOAD_BYTES = 10_000_000
SMALL = "/auth/me"


def run(_rows: int) -> Iterator[Line]:
    """Measure the small request in both states, in turn."""
    with TemporaryDirectory(prefix="lampside-bench-") as folder:
        data_dir = Path(folder)
        with hospital.prepared(data_dir):
            pass
        with hospital.serving(data_dir) as base:
            client = hospital.Client(base, "ambler")
            idle, busy = [], []
            for _ in range(ROUNDS):
                idle.append(small_requests(client))
                with uploading(base):
                    busy.append(small_requests(client))
            client.close()
    yield line(idle, busy)


def line(idle: list[list[float]], busy: list[list[float]]) -> Line:
    """Return the line of this benchmark from what each request took [ms]."""
    everything = [took for one in busy for took in one]
    about = {
        "ours": f"GET {SMALL} while {len(PHONES)} phones upload {PIECE_BYTES} bytes at a time",
        "other": f"GET {SMALL} on an idle server",
        "request_ms": {
            "p50": median(everything), "p95": figures.percentile(everything, 95),
            "max": max(everything),
        },
    }  # fmt: skip
    medians = [[median(one) for one in half] for half in (busy, idle)]
    return figures.ratio("server.small_get_during_uploads", *medians, about)


def small_requests(client: hospital.Client) -> list[float]:
    """Ask again and again and return how long each answer took [ms]."""
    took_ms = []
    for _ in range(ASKED):
        began_s = perf_counter()
        client.get(SMALL)
        took_ms.append((perf_counter() - began_s) * 1000.0)
    return took_ms


@contextmanager
def uploading(base: Base) -> Iterator[None]:
    """Keep one slow upload of each phone under way while the block runs."""
    done, began = Event(), [Event() for _ in PHONES]
    phones = [Thread(target=upload, args=(base, done, event)) for event in began]
    for phone in phones:
        phone.start()
    for event in began:
        event.wait()
    yield
    done.set()
    for phone in phones:
        phone.join()


def upload(base: Base, done: Event, began: Event) -> None:
    """Send the head of a push and then its body piece by piece, until there is no more need."""
    head = (
        f"POST /sync/push HTTP/1.1\r\nHost: localhost:{base.port}\r\n"
        f"Content-Type: application/json\r\nContent-Length: {UPLOAD_BYTES}\r\n\r\n"
    )
    with socket.create_connection(("127.0.0.1", base.port)) as line_home:
        line_home.sendall(head.encode())
        piece = b" " * PIECE_BYTES
        while True:
            line_home.sendall(piece)
            began.set()
            if done.wait(PAUSE_S):
                return
