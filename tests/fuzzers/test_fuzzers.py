"""Each round draws with its own seed, and a failing one is named."""

import subprocess
import sys
from pathlib import Path

import pytest

from tests.fuzzers import __main__ as program
from tests.fuzzers import rounds
from webapp.bootstrap import ROOT

DRAWING = """
from hypothesis import given, settings, strategies
@settings(max_examples=5)
@given(strategies.integers(0, 10**12))
def test_it(number):
    with open({file!r}, "a") as kept:
        print(number, file=kept)
"""


def test_at_least_one_round_each_with_its_own_seed() -> None:
    """No time at all is one round; the failing seeds come back."""
    asked: list[int] = []
    assert rounds.rounds(0, 7, lambda seed: bool(asked.append(seed))) == (1, [7])
    assert asked == [7]


def test_rounds_go_on_until_the_time_is_over(monkeypatch: pytest.MonkeyPatch) -> None:
    """Three rounds of 20 s begin within a minute; the second one fails."""
    clock = iter([0.0, 0.0, 20.0, 40.0, 60.0])
    monkeypatch.setattr(rounds.time, "monotonic", lambda: next(clock))
    # The first round is begun without a look at the clock.
    assert rounds.rounds(1, 1, lambda seed: seed != 2) == (4, [2])


def test_a_failure_fails_the_program(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The exit code and the last line say so, and the seed is there to run it again."""
    monkeypatch.setattr(program, "every_test_passes", lambda seed: False)
    monkeypatch.setattr("sys.argv", ["fuzzers", "--minutes", "0", "--seed", "41"])
    assert program.main() == 1
    lines = capsys.readouterr().out.splitlines()
    assert lines[-2:] == ["failed with --seed 41", "1 rounds of the property tests, 1 failures"]


def test_another_seed_draws_other_examples(tmp_path: Path) -> None:
    """The same seed the same ones; the daily settings would draw the same for every seed."""
    drawn = [_drawn(tmp_path / name, seed) for name, seed in (("a", 1), ("b", 1), ("c", 2))]
    assert drawn[0]
    assert drawn[0] == drawn[1] != drawn[2]


def _drawn(folder: Path, seed: int) -> str:
    """Return what a property test of a test file under these settings drew."""
    folder.mkdir()
    file, kept = folder / "test_drawing.py", folder / "kept.txt"
    file.write_text(DRAWING.format(file=str(kept)), encoding="utf-8")
    settings = [f"--hypothesis-profile={rounds.DRAWN}", f"--hypothesis-seed={seed}"]
    words = [
        sys.executable,
        "-m",
        "pytest",
        "-q",
        "-c",
        "pyproject.toml",
        "--confcutdir",
        str(ROOT),
    ]
    plugins = ["--confcutdir", str(ROOT), "-p", "no:cacheprovider", "-p", "tests.conftest"]
    subprocess.run([*words, *plugins, *settings, str(file)], cwd=ROOT, check=True)
    return kept.read_text(encoding="utf-8")
