"""The real server on a disk that runs full: refused in words, nothing lost, nothing half there."""

import json
import sqlite3
from collections.abc import Iterator
from http.client import HTTPConnection
from pathlib import Path

import pytest

from tests.bench import hospital
from tests.faults import kills
from tests.faults.ready import Batch, ready
from tests.faults.small_disk import leave_free, make_room, small_disk
from webapp.access.problems import FULL_FOR_A_PHONE

FREE_BYTES = 1024 * 1024
RECORDS = 2000
"""More than that much room can hold, with the log beside the database."""

Answer = tuple[int, str, bytes]


class Full:
    """A server with little room, one phone, and what that phone has to push."""

    def __init__(self, disk: Path) -> None:
        self.disk = disk
        self.data_dir = disk / "data"
        with hospital.prepared(self.data_dir) as reference:
            todo = ready(reference, RECORDS, eyes=0)
        leave_free(disk, FREE_BYTES)
        self.work = kills.Work(hospital.Base(self.data_dir, hospital.BUILT), todo)
        self.work.base.start()
        self.work.sign_in()

    def ask(self, name: str, method: str, address: str, body: bytes | None = None) -> Answer:
        """Return status, type and body of one answer."""
        connection = HTTPConnection("localhost", self.work.base.port, timeout=30)
        try:
            connection.request(method, address, body, self.work.headers[name])
            answer = connection.getresponse()
            return answer.status, answer.headers.get("Content-Type", ""), answer.read()
        finally:
            connection.close()

    def push(self, batch: Batch) -> Answer:
        """Push one batch."""
        return self.ask("ambler", "POST", "/sync/push", batch.body)

    def push_until_refused(self) -> Answer:
        """Push batch after batch; return the first answer that is not 200."""
        for batch in self.work.todo.batches[self.work.pushed :]:
            answer = self.push(batch)
            if answer[0] != 200:
                return answer
            results = {one["result"] for one in json.loads(answer[2])["receipts"]}
            assert results <= {"stored", "known"}
            self.work.pushed += 1
        raise AssertionError("the disk never ran full")

    def broken(self) -> list[str]:
        """Return what is lost, half there or out of order."""
        address = f"file:{self.data_dir / 'lampside.sqlite3'}?mode=ro"
        connection = sqlite3.connect(address, uri=True)
        try:
            return kills.broken(connection, self.work)
        finally:
            connection.close()


@pytest.fixture
def full(tmp_path: Path) -> Iterator[Full]:
    """Return the server, started and with little room left."""
    with small_disk(tmp_path / "disk") as disk:
        made = Full(disk)
        try:
            yield made
        finally:
            made.work.base.stop()


def test_refused_in_words_and_nothing_lost(full: Full) -> None:
    """Until room is made every push is refused whole; then the phone's records come in."""
    status, kind, body = full.push_until_refused()
    assert (status, kind) == (507, "application/problem+json"), body
    said = json.loads(body)
    assert (said["code"], said["detail"]) == ("storage.full", FULL_FOR_A_PHONE)
    assert full.work.pushed > 0
    assert full.broken() == []
    for batch in full.work.todo.batches[full.work.pushed + 1 :][:5]:
        assert full.push(batch)[0] in (200, 507)
    page, kind, body = full.ask("fenn", "GET", "/desk/")
    assert page in (200, 507), body
    make_room(full.disk)
    kept = full.work.pushed
    assert full.push(full.work.todo.batches[kept])[0] == 200
    full.work.pushed += 1
    assert full.broken() == []


def test_a_server_that_dies_there_starts_again(full: Full) -> None:
    """Killed on the full disk, it comes back once there is room and has all it acknowledged."""
    assert full.push_until_refused()[0] == 507
    full.work.base.stop()
    make_room(full.disk)
    full.work.base.start()
    assert full.broken() == []
    assert full.push(full.work.todo.batches[full.work.pushed])[0] == 200
