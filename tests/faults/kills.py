"""Killing the server (signal 9) in the middle of pushes and orders, and looking at what is left."""

import json
import re
import sqlite3
import time
from http.client import HTTPConnection, HTTPException
from pathlib import Path
from random import Random
from threading import Thread
from typing import NamedTuple
from urllib.parse import urlencode

from tests.bench import hospital
from tests.browser.base import Base
from tests.faults.ready import Approved, Ready, ready
from webapp.demo_people import PASSPHRASE
from webapp.settings import BUILT

MOST_ANSWERS = {"pushed": 8, "ordered": 2}
"""A kill comes after up to so many answers of one kind, at a moment of the next request."""
LONGEST_S = 0.08
PATIENCE_S = 60.0
PUSHED_A_LIFE = 200
"""Records ready for each life of the server: more than one life has time for."""
REDIRECT = 302


class Found(NamedTuple):
    """How the kills went."""

    kills: int
    acknowledged: int
    cut_off: int
    """Requests that a kill left without an answer."""
    orders: int
    failures: list[str]


class Work:
    """One phone that pushes and one desk that orders, each until the server is gone."""

    def __init__(self, base: Base, todo: Ready) -> None:
        self.base = base
        self.todo = todo
        self.pushed = 0
        self.ordered = 0
        self.cut_off = 0
        self.trouble: list[str] = []
        """Answers that no kill explains."""
        self.headers: dict[str, dict[str, str]] = {}

    def sign_in(self) -> None:
        """Sign both in; their sessions outlive the server."""
        for name in ("ambler", "fenn"):
            client = hospital.Client(self.base, name)
            self.headers[name] = client.headers
            client.close()

    def push(self) -> None:
        """Push batch after batch; the batch that got no answer is pushed again in the next life."""
        for batch in self.todo.batches[self.pushed :]:
            answer = self._asked("ambler", "/sync/push", batch.body, "application/json")
            if answer is None:
                return
            receipts = json.loads(answer[1])["receipts"]
            if any(one["result"] == "refused" for one in receipts):
                self.trouble.append(f"refused: {receipts[:2]}")
                return
            self.pushed += 1

    def order(self) -> None:
        """Order eye after eye; the order that got no answer is placed again in the next life."""
        for one in self.todo.approved[self.ordered :]:
            fields = {"approval": one.approval, "passphrase": PASSPHRASE, "supplier_reference": ""}
            address = f"/desk/case/{one.person}/{one.eye}/order"
            answer = self._asked("fenn", address, urlencode(fields).encode(), FORM)
            if answer is None:
                return
            if answer[0] != REDIRECT:
                self.trouble.append(f"not ordered: {answer[0]} {refusal_in(answer[1])}")
                return
            self.ordered += 1

    def _asked(self, name: str, address: str, body: bytes, kind: str) -> tuple[int, bytes] | None:
        connection = HTTPConnection("localhost", self.base.port, timeout=30)
        try:
            connection.request("POST", address, body, {**self.headers[name], "Content-Type": kind})
            answer = connection.getresponse()
            return answer.status, answer.read()
        except (OSError, HTTPException):
            self.cut_off += 1
            return None
        finally:
            connection.close()


def refusal_in(page: bytes) -> str:
    """Return the sentences of a page that say why not."""
    return " / ".join(re.findall(r'role="alert"[^>]*>(.*?)<', page.decode(), re.DOTALL))[:300]


FORM = "application/x-www-form-urlencoded"


def run(folder: Path, kills: int, seed: int) -> Found:
    """Kill the server so many times and return what was found."""
    rng = Random(seed)  # noqa: S311 - when a kill comes, not a secret
    data_dir = folder / "data"
    with hospital.prepared(data_dir) as reference:
        todo = ready(reference, PUSHED_A_LIFE * kills, MOST_ANSWERS["ordered"] * kills + 8)
    work = Work(Base(data_dir, BUILT), todo)
    failures: list[str] = []
    for number in range(kills):
        kind = rng.choice(list(MOST_ANSWERS))
        answers = rng.randint(0, MOST_ANSWERS[kind])
        one_life(work, (kind, answers), rng.random() * LONGEST_S, signs_in=number == 0)
        failures += [f"kill {number}: {what}" for what in left(data_dir, work)]
    failures += work.trouble
    return Found(kills, work.pushed, work.cut_off, work.ordered, failures)


def one_life(work: Work, answers: tuple[str, int], wait_s: float, signs_in: bool) -> None:
    """Start the server, let both work, and kill it so long after so many answers of a kind."""
    work.base.start()
    if signs_in:
        work.sign_in()
    both = [Thread(target=work.push), Thread(target=work.order)]
    for thread in both:
        thread.start()
    kind, more = answers
    enough = getattr(work, kind) + more
    latest_s = time.monotonic() + PATIENCE_S
    while getattr(work, kind) < enough and time.monotonic() < latest_s:
        time.sleep(0.002)
    time.sleep(wait_s)
    work.base.stop()
    for thread in both:
        thread.join()


def left(data_dir: Path, work: Work) -> list[str]:
    """Return what the kill broke: lost, half there, twice there."""
    connection = sqlite3.connect(data_dir / "lampside.sqlite3")
    try:
        return broken(connection, work)
    finally:
        connection.close()


def broken(connection: sqlite3.Connection, work: Work) -> list[str]:
    """Return the promises that the database no longer keeps."""
    found = [row[0] for row in connection.execute("PRAGMA integrity_check") if row[0] != "ok"]
    stored = {row[0] for row in connection.execute("SELECT id FROM journal")}
    for place, batch in enumerate(work.todo.batches):
        there = len(stored & set(batch.ids))
        if place < work.pushed and there != len(batch.ids):
            found.append("an acknowledged record is lost")
        if there not in (0, len(batch.ids)):
            found.append("half a batch is stored")
    found += orders_broken(connection, work.todo.approved[: work.ordered])
    dense = "SELECT site FROM journal GROUP BY site HAVING COUNT(*) != MAX(n)"
    found += [f"the numbers of {row[0]} have a gap" for row in connection.execute(dense)]
    heads = "SELECT c.site FROM site_counter c WHERE head != (SELECT COUNT(*) FROM journal j"
    found += [f"the head of {row[0]} is wrong"
              for row in connection.execute(heads + " WHERE j.site = c.site)")]  # fmt: skip
    return found


def orders_broken(connection: sqlite3.Connection, acknowledged: list[Approved]) -> list[str]:
    """Return what is wrong with the orders."""
    found = []
    lines = connection.execute("SELECT approval, order_id FROM order_line").fetchall()
    signed = {row[0] for row in connection.execute(
        "SELECT id FROM journal WHERE kind = 'order.placed'")}  # fmt: skip
    if len({approval for approval, _ in lines}) != len(lines):
        found.append("one approval was ordered twice")
    if signed != {order_id for _, order_id in lines}:
        found.append("the orders and their records do not agree")
    if not {one.approval for one in acknowledged} <= {approval for approval, _ in lines}:
        found.append("an acknowledged order is lost")
    return found
