"""The list of mutants fits the code: each text stands once, and each killer is there."""

import pytest

from tests.mutants.everything import MUTANTS
from tests.mutants.mutant import Mutant
from webapp.bootstrap import ROOT


@pytest.mark.parametrize("mutant", MUTANTS, ids=lambda one: one.name)
def test_it_can_be_made(mutant: Mutant) -> None:
    """A check that was moved or reworded takes its mutant along."""
    whole = (ROOT / mutant.path).read_text(encoding="utf-8")
    assert whole.count(mutant.old) == 1
    assert mutant.old != mutant.new
    for killer in mutant.killers:
        if killer.startswith("tests/"):
            assert (ROOT / killer).is_file()


def test_names_are_told_apart() -> None:
    """Each mutant has a name and a reason of its own."""
    assert len({one.name for one in MUTANTS}) == len(MUTANTS)
    assert all(one.why for one in MUTANTS)
