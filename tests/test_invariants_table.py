"""The table of invariants names tests that exist."""

import re
from pathlib import Path

ROOT = Path(__file__).parent.parent
TABLE = Path(__file__).with_name("INVARIANTS.md").read_text(encoding="utf-8")
NAMED = re.compile(r"`(tests/[a-z0-9_/]+\.py)::(test_\w+)`")
HERE = {f"I{number}" for number in range(1, 27)}
OF_THE_LENS = {f"H{number}" for number in (*range(28, 37), 45, 47)}
"""Hazards from the order of a lens to its exchange."""


def rows() -> dict[str, str]:
    """Return invariant or hazard -> what holds it."""
    lines = [line.split("|") for line in TABLE.splitlines() if line.startswith(("| I", "| H"))]
    return {cells[1].strip(): cells[3] for cells in lines}


def test_every_invariant_has_a_row() -> None:
    """Those that there are records for."""
    assert {name for name in rows() if name.startswith("I")} == HERE


def test_every_hazard_of_the_lens_has_a_row() -> None:
    """From the order to the exchange."""
    assert rows().keys() >= OF_THE_LENS


def test_every_test_named_is_there() -> None:
    """A test that was renamed or taken away leaves no empty promise."""
    for invariant, held_by in rows().items():
        named = NAMED.findall(held_by)
        assert named, invariant
        for file, test in named:
            assert f"def {test}(" in (ROOT / file).read_text(encoding="utf-8"), (invariant, test)
