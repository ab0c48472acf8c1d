"""The lanes of the check command: what each runs, and a plain summary of how they went."""

import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from tests import javascript, second_try, side_by_side
from tests.postgresql import lane as postgresql
from tests.side_by_side import Part
from webapp.asset_build.node import NODE, PACKAGES, STATIC
from webapp.bootstrap import ROOT, say

PYTHON_TOOLS = Path(sys.executable).parent
TYPE_SCRIPT = str(PACKAGES / "typescript" / "bin" / "tsc")
PROGRAMS = ("page", "worker", "sw", "tests")
# pytest's own code for a whole run in which some test failed; a broken or cut run has another.
SOME_FAILED = 1
# About half of the time of all tests without a browser.
CORE = (
    "tests/core",
    "tests/differential",
    "tests/calibration",
    "tests/calc",
    "tests/audit",
    "tests/approval_machine",
)
# The longer ones first, so that both processes end at nearly the same time.
BROWSER = ("tests/journey", "tests/browser")
BROWSER_PARTS = ("browser-1", "browser-2")


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
    """Return every lane in the order of a full run; the browsers come last."""
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
        Lane("unit", "pytest without a browser", lambda: without_browser(word, options)),
        Lane("postgresql", "pytest on PostgreSQL", lambda: postgresql.passes(options, None)),
        Lane("browser", "pytest in the browser", lambda: in_browser(options)),
    ]


def run_all(word: str, options: list[str]) -> int:
    """Run the lanes that ``word`` selects, or all; return the exit code."""
    # In a full run PostgreSQL is a part of the lane before it.
    chosen = [
        lane
        for lane in all_lanes(word, options)
        if word == lane.word or (word == "" and lane.word != "postgresql")
    ]
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


def without_browser(word: str, options: list[str]) -> bool:
    """Run the Python tests without a browser: in a full run on both databases, two at a time."""
    if options:
        words = [sys.executable, "-m", "pytest", "-m", "not browser", *options]
        return command(*words, cwd=ROOT)()
    parts = [
        side_by_side.pytest_part("core", "-m", "not browser", *CORE),
        side_by_side.pytest_part("rest", "-m", "not browser", *_ignoring(CORE)),
    ]
    if word == "":
        parts.append(Part("postgresql", lambda output: int(not postgresql.passes([], output))))
    return side_by_side.all_pass(parts)


def _ignoring(folders: tuple[str, ...]) -> list[str]:
    return [f"--ignore={folder}" for folder in folders]


def in_browser(options: list[str]) -> bool:
    """Run the tests that drive a browser: in a whole run two processes share them out."""
    if options:
        return command(sys.executable, "-m", "pytest", "-m", "browser", *options, cwd=ROOT)()
    with tempfile.TemporaryDirectory(prefix="lampside-claims-") as claims:
        words = ["-m", "browser", "-p", "tests.shared_out", "--claims", claims, "--durations=10"]
        parts = [side_by_side.pytest_part(name, *words, *BROWSER) for name in BROWSER_PARTS]
        codes = side_by_side.codes_of(parts)
    return not any(codes) or (set(codes) <= {0, SOME_FAILED} and again())


def again() -> bool:
    """Give a browser test that failed its one second try; return whether all passed then."""
    failed = second_try.worth_another_try(*map(side_by_side.cache_of, BROWSER_PARTS))
    if not failed:
        return False
    say("\n== SECOND TRY of " + ", ".join(failed))
    return command(sys.executable, "-m", "pytest", *failed, cwd=ROOT)()


def histories() -> bool:
    """Return whether ten thousand histories keep every promise, in two and a half minutes.

    The rarest fault that was planted on purpose first showed after thousands; the long lane runs
    them by the million.
    """
    return program("simulation", ["--histories", "10000"]) == 0


def command(*words: str, cwd: Path = STATIC) -> Callable[[], bool]:
    """Return a run that passes when the program exits with 0."""
    quiet = subprocess.DEVNULL
    return lambda: subprocess.run(words, cwd=cwd, stdin=quiet, check=False).returncode == 0


def program(word: str, options: list[str]) -> int:
    """Run a program that prints what it finds: the benchmarks, or the comparison of the Pythons."""
    words = [sys.executable, "-m", f"tests.{word}", *options]
    return subprocess.run(words, cwd=ROOT, check=False).returncode
