"""The pieces of a long run: programs, each ending with a line that says how it went."""

import subprocess
import sys
import time
from typing import NamedTuple

from tests.long.state import Ended
from webapp.bootstrap import ROOT

HISTORIES, HISTORIES_A_PIECE = 1_000_000, 10_000
KILLS, KILLS_A_PIECE = 1_000, 50
EYES, EYES_A_PIECE = 100_000, 5_000
EXAMPLES, EXAMPLES_A_PIECE = 200_000, 2_000
FIRST_SEED = 1_000_000
"""Beyond the seeds that the daily check runs."""


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


def _histories(kind: str, scale: float) -> list[Piece]:
    return [
        Piece(kind, f"{kind} {FIRST_SEED + first} to {FIRST_SEED + first + many - 1}",
              ["tests.simulation", "--histories", str(many), "--seed", str(FIRST_SEED + first)])
        for first, many in _shares(HISTORIES, HISTORIES_A_PIECE, scale)
    ]  # fmt: skip


def _kills(kind: str, scale: float) -> list[Piece]:
    return [
        Piece(kind, f"{kind} {first} to {first + many - 1}",
              ["tests.faults", "--kills", str(many), "--seed", str(first + 1)])
        for first, many in _shares(KILLS, KILLS_A_PIECE, scale)
    ]  # fmt: skip


def _eyes(kind: str, scale: float) -> list[Piece]:
    return [
        Piece(kind, f"{kind} {first} to {first + many - 1}",
              ["tests.differential", "--eyes", str(many), "--seed", str(FIRST_SEED + first)])
        for first, many in _shares(EYES, EYES_A_PIECE, scale)
    ]  # fmt: skip


def _examples(kind: str, scale: float) -> list[Piece]:
    return [
        Piece(kind, f"{kind} {first} to {first + many - 1}",
              ["tests.approval_machine", "--examples", str(many), "--seed", str(first + 1)])
        for first, many in _shares(EXAMPLES, EXAMPLES_A_PIECE, scale)
    ]  # fmt: skip


def _mutants(kind: str, scale: float) -> list[Piece]:
    every = max(1, round(1 / scale))
    return [Piece(kind, f"{kind}, one in {every}", ["tests.mutants", "--every", str(every)])]


NAMES = {
    "histories": _histories,
    "kills": _kills,
    "eyes": _eyes,
    "approvals": _examples,
    "mutants": _mutants,
}
"""Kind -> what makes its pieces; the program's ``--only`` takes these names."""
