"""Two runs of the same tests: each test runs in one of them, and a failure in either is one."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from webapp.bootstrap import ROOT

# The libraries' own plugins take two seconds to start, and these tests use none of them.
BARE = {**os.environ, "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1"}
NAMES = ("a", "b", "c", "d", "e", "f")
# Each test notes that it ran, and the fixture of its module that it was made and given back.
MODULE = """
import pathlib, pytest, time
NOTES = pathlib.Path(__file__).parent / "notes"

def note(words):
    with NOTES.open("a") as file:
        file.write(words + "\\n")

@pytest.fixture(scope="module")
def opened():
    note("open")
    yield
    note("close")

@pytest.mark.parametrize("name", {names!r})
def test_one(opened, name):
    note(name)
    time.sleep(0.2)
    assert name != {bad!r}
"""


def runs(folder: Path, *more: str, bad: str = "", times: int = 2) -> tuple[list[int], list[str]]:
    """Run the same tests several times at once; return all exit codes and all notes."""
    claims, tests = folder / "claims", folder / "tests"
    claims.mkdir()
    tests.mkdir()
    for number in (1, 2):
        names = [f"{name}{number}" for name in NAMES]
        module = MODULE.format(names=names, bad=bad)
        (tests / f"test_{number}.py").write_text(module, encoding="ascii")
    words = [
        *(sys.executable, "-m", "pytest", "-q", "-p", "tests.shared_out", "-p", "no:cacheprovider"),
        *("--claims", str(claims), "-c", "/dev/null", str(tests)),
        *more,
    ]
    quiet = subprocess.DEVNULL
    running = [subprocess.Popen(words, cwd=ROOT, env=BARE, stdout=quiet) for _ in range(times)]
    codes = [one.wait() for one in running]
    return codes, (tests / "notes").read_text(encoding="ascii").split()


def test_each_test_runs_once(tmp_path: Path) -> None:
    """Twelve tests of two modules; what a module's fixture opened is closed in each run."""
    codes, notes = runs(tmp_path)
    ran = sorted(note for note in notes if note not in ("open", "close"))
    assert codes == [0, 0]
    assert ran == sorted(f"{name}{number}" for name in NAMES for number in (1, 2))
    assert notes.count("open") == notes.count("close") <= 4


def test_a_failure_is_one_of_the_run_that_it_was_in(tmp_path: Path) -> None:
    """Pytest's own code for failed tests, once."""
    codes, _ = runs(tmp_path, bad="c2")
    assert sorted(codes) == [0, pytest.ExitCode.TESTS_FAILED]


def test_what_stops_at_the_first_failure_stops(tmp_path: Path) -> None:
    """As ``-x`` asks: of twelve tests the second fails and is the last."""
    codes, notes = runs(tmp_path, "-x", bad="b1", times=1)
    assert codes == [pytest.ExitCode.TESTS_FAILED]
    assert [note for note in notes if note not in ("open", "close")] == ["a1", "b1"]


def test_what_cannot_be_read_fails(tmp_path: Path) -> None:
    """A module with an error in it is an error of every run, and no test runs."""
    tests = tmp_path / "test_1.py"
    tests.write_text("def test_one():\n    assert True\n1 / 0\n", encoding="ascii")
    words = ["-p", "tests.shared_out", "-p", "no:cacheprovider", "--claims", str(tmp_path)]
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", *words, "-c", "/dev/null", str(tests)],
        cwd=ROOT, env=BARE, stdout=subprocess.DEVNULL, check=False,
    )  # fmt: skip
    assert done.returncode == pytest.ExitCode.INTERRUPTED
