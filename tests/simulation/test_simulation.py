"""Histories that failed once, the same history twice, and a short run."""

import subprocess
import sys

import pytest

from tests.simulation import kept, many
from tests.simulation.history import Plan
from webapp.bootstrap import ROOT

IN_ANOTHER_PROCESS = (
    "from tests.simulation import many; from tests.simulation.history import Plan;"
    " print(many.one(Plan({seed})).trace)"
)


def run(*words: str) -> subprocess.CompletedProcess[str]:
    """Run Python in a process of its own: a history puts its own base in place of the server's."""
    return subprocess.run(
        [sys.executable, *words], cwd=ROOT, check=False, capture_output=True, text=True
    )


def trace(seed: int) -> str:
    """Return the hash over all that happened in a history."""
    return run("-c", IN_ANOTHER_PROCESS.format(seed=seed)).stdout.strip()


@pytest.mark.parametrize("seed", [3, 77])
def test_the_same_seed_is_the_same_history(seed: int) -> None:
    """A failure can only be looked into if it comes again."""
    first = trace(seed)
    assert len(first) == 64
    assert first == trace(seed) != trace(seed + 1)


def test_every_history_that_failed_once_passes() -> None:
    """Each was made smaller and kept when it failed."""
    plans = [list(plan) for plan in kept.all_kept()]
    code = (
        "from tests.simulation import many; from tests.simulation.history import Plan;"
        f" bad = [p for p in {plans!r} if many.one(Plan(*p)).failures]; print(bad)"
    )
    assert run("-c", code).stdout.strip() == "[]"


def test_a_whole_run_says_how_it_went() -> None:
    """The last line counts histories and failures; the exit code is that of a pass."""
    done = run("-m", "tests.simulation", "--histories", "40", "--seed", "5", "--processes", "1")
    assert done.stdout.splitlines()[-1] == "40 histories, 0 failures", done.stdout
    assert done.returncode == 0


def test_plans_shrink_to_what_still_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    """Here whatever has more than four actions fails, whoever takes part."""
    fails = many.Outcome(Plan(1), "", ["broken"], many.Counter(), [])
    passes = fails._replace(failures=[])
    monkeypatch.setattr(many, "one", lambda plan: fails if plan.actions > 4 else passes)
    small = kept.smaller(Plan(1))
    assert small.phones == 2
    assert 4 < small.actions <= 8
