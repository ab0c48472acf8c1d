"""The pieces of a long run: programs, each ending with a line that says how it went."""

import subprocess
import sys
import time
from typing import NamedTuple

from tests.long.state import Ended
from webapp.bootstrap import ROOT

FIRST_SEED = 1_000_000
"""Beyond the seeds that the daily check runs."""
DRAWN = {
    "histories": ("tests.simulation", "--histories", 1_000_000, 10_000, FIRST_SEED),
    "kills": ("tests.faults", "--kills", 1_000, 50, 1),
    "eyes": ("tests.differential", "--eyes", 100_000, 5_000, FIRST_SEED),
    "approvals": ("tests.approval_machine", "--examples", 200_000, 2_000, 1),
    "fuzzers": ("tests.fuzzers", "--minutes", 30, 10, FIRST_SEED),
}
"""Kind -> program, its word for how many, how many in all, how many a piece, the first seed."""


class Piece(NamedTuple):
    """One program of a long run."""

    kind: str
    name: str
    words: list[str]


def of(kinds: list[str], scale: float) -> list[Piece]:
    """Return the pieces of these kinds, in order, each kind at this share of its whole."""
    return [piece for kind in kinds for piece in NAMES[kind](kind, scale)]


def run(piece: Piece) -> Ended:
    """Run a piece, passing on what it prints, and return how it went."""
    began_s = time.monotonic()
    last = ""
    words = [sys.executable, "-m", *piece.words]
    with subprocess.Popen(words, cwd=ROOT, stdout=subprocess.PIPE, text=True) as program:
        for line in program.stdout or ():
            print(line, end="", flush=True)
            last = line.strip() or last
    seconds = round(time.monotonic() - began_s, 1)
    return {"passed": program.returncode == 0, "seconds": seconds, "last_line": last}


def _shares(whole: int, each: int, scale: float) -> list[tuple[int, int]]:
    """Return (first, how many) of each piece of a whole."""
    count = max(1, round(whole * scale))
    return [(first, min(each, count - first)) for first in range(0, count, each)]


def _program(kind: str, scale: float) -> list[Piece]:
    """Return the pieces of one kind of drawn cases, each with its count and its seed."""
    program, counts, whole, each, first_seed = DRAWN[kind]
    pieces = []
    for first, many in _shares(whole, each, scale):
        words = [program, counts, str(many), "--seed", str(first_seed + first)]
        pieces.append(Piece(kind, f"{kind} {first} to {first + many - 1}", words))
    return pieces


def _mutants(kind: str, scale: float) -> list[Piece]:
    every = max(1, round(1 / scale))
    return [Piece(kind, f"{kind}, one in {every}", ["tests.mutants", "--every", str(every)])]


NAMES = {**dict.fromkeys(DRAWN, _program), "mutants": _mutants}
"""Kind -> what makes its pieces; the program's ``--only`` takes these names."""
