"""The table of requirements is true: each names tests that are there, or says its deviation."""

import re
from pathlib import Path

import pytest

from webapp import access
from webapp.bootstrap import ROOT

TABLE = Path(access.__file__).with_name("ASVS.md").read_text(encoding="utf-8")
ROWS = [
    [cell.strip() for cell in line.strip("|").split("|")]
    for line in TABLE.partition("\n## ")[0].splitlines()
    if re.match(r"\| \d", line)
]
TEST = re.compile(r"`(tests/[\w/]+\.py)::(\w+)`")
NUMBER = re.compile(r"\d+\.\d+\.\d+\*?")


@pytest.mark.parametrize("row", ROWS, ids=[row[0] for row in ROWS])
def test_row_is_held_by_tests_or_says_why_not(row: list[str]) -> None:
    """Every test is in its file; a row without one says DEVIATION and a sentence."""
    numbers, asked, held_by = row
    assert re.fullmatch(rf"{NUMBER.pattern}(, {NUMBER.pattern})*", numbers)
    assert asked
    named = TEST.findall(held_by)
    assert named or re.search(r"DEVIATION: \w.{20,}\.", held_by)
    for path, test in named:
        text = (ROOT / path).read_text(encoding="utf-8")
        assert re.search(rf"^ *def {test}\(", text, re.MULTILINE), f"{path}::{test} is gone"


def test_each_number_stands_once_and_the_count_is_printed() -> None:
    """So many requirements, so many held by tests."""
    numbers = [number for row in ROWS for number in NUMBER.findall(row[0])]
    assert len(numbers) == len(set(numbers))
    deviations = [row[0] for row in ROWS if "DEVIATION" in row[2]]
    print(f"\n{len(numbers)} requirements in {len(ROWS)} rows, {len(deviations)} with a deviation")
    assert len(numbers) >= 100
