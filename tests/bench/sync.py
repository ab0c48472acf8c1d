"""Push and pull through the real server, by eight phones at once, against bare SQLite.

Each round puts the same rows first into bare SQLite, batch by batch, and then through the server;
and reads them back in the same way.
"""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter, thread_time
from typing import NamedTuple

from tests.bench import bare_sqlite, figures, hospital
from tests.bench.bare_sqlite import BareJournal
from tests.bench.figures import Line
from tests.bench.senders import BATCH, PAGE, PHONES, Answer, Batch, Sender, enrol_all
from tests.browser.base import Base
from webapp.records.signing import verify

ROUNDS = 5
FEWEST_ROWS = len(PHONES) * BATCH * ROUNDS
"""So that each phone has a whole batch in each round."""
AIM = "at most 4 x"
CHECKED = 300
"""Signatures verified again in this process each round, to know what one costs."""


class Round(NamedTuple):
    """What one round took, each for the same rows [ms per 1000 rows]."""

    insert: float
    push: float
    select: float
    pull: float
    verify: float
    push_requests_ms: list[float]
    pull_requests_ms: list[float]
    cpu_us: dict[str, float]
    """Processor time of a row, by what was done [µs]; a busy machine does not lengthen it."""


def run(rows: int) -> Iterator[Line]:
    """Measure push and pull of ``rows`` records."""
    with TemporaryDirectory(prefix="lampside-bench-") as folder:
        data_dir = Path(folder) / "data"
        with hospital.prepared(data_dir) as reference:
            senders = enrol_all(rows, reference)
        server_database = data_dir / "lampside.sqlite3"
        with (
            hospital.serving(data_dir) as base,
            bare_sqlite.opened(Path(folder) / "bare.sqlite3", server_database) as bare,
            ThreadPoolExecutor(len(senders)) as phones,
        ):
            for sender in senders:
                sender.sign_in(base)
            rounds = [one_round(senders, bare, phones, turn, base) for turn in range(ROUNDS)]
            for sender in senders:
                sender.client.close()
    yield from lines(rounds, senders)


def one_round(
    senders: list[Sender],
    bare: BareJournal,
    phones: ThreadPoolExecutor,
    number: int,
    base: Base,
    rounds: int = ROUNDS,
) -> Round:
    """Put one round's batches through both, then read them back from both."""
    turns = [(sender, share(sender.batches, number, rounds)) for sender in senders]
    batches = [batch for _, own in turns for batch in own]
    rows = sum(len(batch.rows) for batch in batches)
    scale = 1000.0 / rows
    heads = {sender.site: sender.head() for sender in senders}
    here_s, there_s = [thread_time()], [base.cpu_s()]
    insert_ms = timed_inserts(bare, batches)
    here_s.append(thread_time())
    push_ms, pushed = at_once(phones, [(sender.push, own) for sender, own in turns])
    there_s.append(base.cpu_s())
    spans = spans_of(senders, heads)
    here_s.append(thread_time())
    select_ms = timed_selects(bare, batches)
    here_s.append(thread_time())
    there_s.append(base.cpu_s())
    pull_ms, pulled = at_once(phones, list(zip([s.pull for s in senders], spans, strict=True)))
    there_s.append(base.cpu_s())
    cpu_s = {
        "insert": here_s[1] - here_s[0], "push": there_s[1] - there_s[0],
        "select": here_s[3] - here_s[2], "pull": there_s[3] - there_s[2],
    }  # fmt: skip
    return Round(
        insert_ms * scale, push_ms * scale, select_ms * scale, pull_ms * scale,
        verify_ms_per_1000(batches), pushed, pulled,
        {what: took_s * 1e6 / rows for what, took_s in cpu_s.items()},
    )  # fmt: skip


def share(batches: list[Batch], number: int, rounds: int = ROUNDS) -> list[Batch]:
    """Return a phone's batches of one round, in the order they were signed."""
    start, end = (len(batches) * turn // rounds for turn in (number, number + 1))
    return batches[start:end]


def at_once(phones: ThreadPoolExecutor, work: list[tuple]) -> tuple[float, list[float]]:
    """Let every phone do its work at the same time.

    Returns:
        The time until the last is done [ms], and how long each request took [ms].

    Raises:
        RuntimeError: an answer was not the one that all records stored, or all asked for, give.
    """
    began_s = perf_counter()
    answered = list(phones.map(lambda one: one[0](one[1]), work))
    took_ms = (perf_counter() - began_s) * 1000.0
    answers: list[Answer] = [answer for one in answered for answer in one]
    for answer in answers:
        answer.check()
    return took_ms, [answer.took_ms for answer in answers]


def spans_of(senders: list[Sender], heads: dict[str, int]) -> list[tuple[int, int]]:
    """Return what each phone pulls: what came to its site in this round, shared out evenly."""
    spans = []
    for sender in senders:
        group = [other for other in senders if other.site == sender.site]
        place, start = group.index(sender), heads[sender.site]
        came = sender.head() - start
        bounds = [start + came * turn // len(group) for turn in (place, place + 1)]
        spans.append((bounds[0], bounds[1]))
    return spans


def timed_inserts(bare: BareJournal, batches: list[Batch]) -> float:
    """Return how long bare SQLite takes to store the batches [ms]."""
    began_s = perf_counter()
    for batch in batches:
        bare.insert(batch.rows)
    return (perf_counter() - began_s) * 1000.0


def timed_selects(bare: BareJournal, batches: list[Batch]) -> float:
    """Return how long bare SQLite takes to read the batches back in pages [ms]."""
    took_ms = 0.0
    for site in sorted({batch.site for batch in batches}):
        own = [batch for batch in batches if batch.site == site]
        after, end = own[0].rows[0][2] - 1, own[-1].rows[-1][2]
        began_s = perf_counter()
        while after < end:
            after += len(bare.select_after(site, after, PAGE))
        took_ms += (perf_counter() - began_s) * 1000.0
    return took_ms


def verify_ms_per_1000(batches: list[Batch]) -> float:
    """Return how long verifying 1000 signatures takes in one thread [ms]."""
    signed = [record for batch in batches for record in batch.records][:CHECKED]
    began_s = perf_counter()
    for record in signed:
        verify(record.spki, record.payload_bytes, record.signature)
    return (perf_counter() - began_s) * 1e6 / len(signed)


def lines(rounds: list[Round], senders: list[Sender]) -> Iterator[Line]:
    """Yield the lines of this benchmark."""
    sizes = [len(record.payload_bytes) for s in senders for b in s.batches for record in b.records]
    about = {
        "phones": len(senders), "rows": len(sizes), "row_bytes": figures.spread(sizes),
        "times": "ms for 1000 rows",
    }  # fmt: skip
    executemany = {"other": "sqlite3 executemany, WAL, synchronous FULL, 100 rows a transaction"}
    inserted = [one.insert for one in rounds]
    push = [one.push for one in rounds]
    pull = [one.pull for one in rounds]
    requests_ms = latency([took for one in rounds for took in one.push_requests_ms])
    batches = {"ours": "push, 100 signed records a request", "request_ms": requests_ms, "aim": AIM}
    batches["cpu_us_a_row"] = cpu_us_of(rounds, "push", "insert")
    yield figures.ratio("sync.push", push, inserted, {**batches, **about, **executemany})
    requests_ms = latency([took for one in rounds for took in one.pull_requests_ms])
    pages = {"ours": f"pull, {PAGE} records a page", "request_ms": requests_ms}
    pages["cpu_us_a_row"] = cpu_us_of(rounds, "pull", "select")
    yield figures.ratio("sync.pull", pull, inserted, {**pages, "aim": AIM, **about, **executemany})
    paged = {"other": "sqlite3 SELECT of the same pages"}
    selected = [one.select for one in rounds]
    yield figures.ratio("sync.pull_over_select", pull, selected, {**pages, **about, **paged})
    checks = {"ours": "verifying each signature, one thread", "other": "the whole push"}
    verified = [one.verify for one in rounds]
    yield figures.ratio("sync.push_verification", verified, push, {**checks, **about}, "share")


def cpu_us_of(rounds: list[Round], ours: str, other: str) -> dict[str, float]:
    """Return the processor time of a row in the server and in bare SQLite, over all rounds [µs]."""
    return {what: sum(one.cpu_us[what] for one in rounds) / len(rounds) for what in (ours, other)}


def latency(took_ms: list[float]) -> dict[str, float]:
    """Return the median and the 95th percentile of requests [ms]."""
    return {f"p{percent}": figures.percentile(took_ms, percent) for percent in (50, 95)}
