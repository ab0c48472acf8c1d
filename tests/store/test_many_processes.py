"""Several server processes on one database: numbers stay dense and in the order of commits."""

import json
import subprocess
import sys
from pathlib import Path

from tests.hospital import Envelope, Hospital, Phone, width_body
from webapp.bootstrap import ROOT
from webapp.store import journal

WIDTH = "reading.white_to_white"
PROCESSES = 3
BATCHES = 8
IN_A_BATCH = 5


class TestDenseCursor:
    """What a reader that follows a site sees while processes of other machines write to it."""

    def test_misses_nothing_and_sees_nothing_twice(
        self, hospital: Hospital, tmp_path: Path
    ) -> None:
        """Three processes push to one site while this one follows: 1, 2, 3 ... without a gap."""
        phones = [hospital.phone() for _ in range(PROCESSES)]
        person = phones[0].register()
        running = [begin(hospital, phone, batches(phone, person), tmp_path) for phone in phones]
        expected = 1 + PROCESSES * BATCHES * IN_A_BATCH
        seen: list[int] = []
        while any(process.poll() is None for process in running) or len(seen) < expected:
            newer = journal.entries_after("saltpan", seen[-1] if seen else 0, 7)
            seen.extend(entry.n for entry in newer)
            ended = all(process.poll() is not None for process in running)
            if ended and not newer and not journal.entries_after("saltpan", len(seen), 1):
                break
        said = [process.communicate()[0].split() for process in running]
        assert said == [["stored"] * (BATCHES * IN_A_BATCH)] * PROCESSES
        assert seen == list(range(1, expected + 1))


def batches(phone: Phone, person: str) -> list[list[Envelope]]:
    """Return what one phone has to hand in, in order."""
    return [
        [phone.record(WIDTH, person, "R", width_body()) for _ in range(IN_A_BATCH)]
        for _ in range(BATCHES)
    ]


def begin(
    hospital: Hospital, phone: Phone, work: list[list[Envelope]], folder: Path
) -> "subprocess.Popen[str]":
    """Start a process that hands in one phone's batches."""
    actor = phone.actor
    file = folder / f"{phone.kid}.json"
    file.write_text(json.dumps({
        "url": hospital.settings.database_url,
        "actor": [actor.user_id, actor.name, [list(held) for held in actor.roles]],
        "batches": work,
    }), "utf-8")  # fmt: skip
    command = [sys.executable, "-m", "tests.store.writing_process", str(file)]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True)
