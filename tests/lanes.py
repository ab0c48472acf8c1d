"""The lanes of the check command: what each runs, and a plain summary of how they went."""

import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from tests import javascript, second_try
from tests.postgresql import lane as postgresql
from webapp.asset_build.node import NODE, PACKAGES, STATIC
from webapp.bootstrap import ROOT, say

PYTHON_TOOLS = Path(sys.executable).parent
TYPE_SCRIPT = str(PACKAGES / "typescript" / "bin" / "tsc")
PROGRAMS = ("page", "worker", "sw", "tests")
# pytest's own code for a whole run in which some test failed; a broken or cut run has another.
SOME_FAILED = 1


class Lane(NamedTuple):
    """One check: the word that selects it, the name in the summary, and what runs it."""

    word: str
    name: str
    passes: Callable[[], bool]


class Outcome(NamedTuple):
    """How one lane went."""

    name: str
    passed: bool
    seconds: float

    def line(self) -> str:
        """Return the line of the summary."""
        return f"  {'ok    ' if self.passed else 'FAILED'}  {self.seconds:6.1f} s  {self.name}"


def all_lanes(word: str, options: list[str]) -> list[Lane]:
    """Return every lane in the order of a full run; pytest comes last, as its closing line does."""
    types = [
        Lane("lint", f"tsc {name}", command(str(NODE), TYPE_SCRIPT, "-p", f"tsconfig.{name}.json"))
        for name in PROGRAMS
    ]
    return [
        Lane("lint", "ruff check", tool("ruff", "check", ".")),
        Lane("lint", "ruff format", tool("ruff", "format", "--check", ".")),
        Lane("lint", "mypy --strict", tool("mypy")),
        Lane("lint", "import contracts", tool("lint-imports")),
        Lane("lint", "biome lint", javascript.lint),
        *types,
        Lane("js", "node --test", javascript.test),
        Lane("simulation", "10,000 simulated histories", histories),
        Lane("postgresql", "pytest on PostgreSQL", lambda: postgresql.passes(options)),
        Lane(word if word in ("unit", "browser") else "pytest", "pytest", pytest(word, options)),
    ]


def run_all(word: str, options: list[str]) -> int:
    """Run the lanes that ``word`` selects, or all; return the exit code."""
    chosen = [lane for lane in all_lanes(word, options) if word in ("", lane.word)]
    outcomes = [run(lane) for lane in chosen]
    print("\nSummary", *(outcome.line() for outcome in outcomes), sep="\n", flush=True)
    return 0 if all(outcome.passed for outcome in outcomes) else 1


def run(lane: Lane) -> Outcome:
    """Run one lane and time it."""
    say(f"\n== {lane.name}")
    started = time.monotonic()
    passed = lane.passes()
    return Outcome(lane.name, passed, time.monotonic() - started)


def tool(name: str, *arguments: str) -> Callable[[], bool]:
    """Return a lane's run of one of the environment's own programs."""
    return command(str(PYTHON_TOOLS / name), *arguments, cwd=ROOT)


def pytest(word: str, options: list[str]) -> Callable[[], bool]:
    """Return the run of the Python tests: all, or with or without those that need a browser."""
    marks = {"unit": ["-m", "not browser"], "browser": ["-m", "browser"]}.get(word, [])
    words = [sys.executable, "-m", "pytest", "--cache-clear", *marks, *options]

    def passes() -> bool:
        code = subprocess.run(words, cwd=ROOT, stdin=subprocess.DEVNULL, check=False).returncode
        return code == 0 or (code == SOME_FAILED and again())

    return passes


def again() -> bool:
    """Give a browser test that failed its one second try; return whether all passed then."""
    failed = second_try.worth_another_try(ROOT / ".pytest_cache")
    if not failed:
        return False
    say("\n== SECOND TRY of " + ", ".join(failed))
    return command(sys.executable, "-m", "pytest", *failed, cwd=ROOT)()


def histories() -> bool:
    """Return whether ten thousand histories of phones and a base keep every promise."""
    return program("simulation", ["--histories", "10000"]) == 0


def command(*words: str, cwd: Path = STATIC) -> Callable[[], bool]:
    """Return a run that passes when the program exits with 0."""
    quiet = subprocess.DEVNULL
    return lambda: subprocess.run(words, cwd=cwd, stdin=quiet, check=False).returncode == 0


def program(word: str, options: list[str]) -> int:
    """Run a program that prints what it finds: the benchmarks, or the comparison of the Pythons."""
    words = [sys.executable, "-m", f"tests.{word}", *options]
    return subprocess.run(words, cwd=ROOT, check=False).returncode
