"""Worked values of the statistics, put to the command line's own tables."""

import json
from pathlib import Path
from typing import Any

import pytest

from tests.core.test_worked_values import differences
from webapp.calc import known, statistics
from webapp.core.calc import calculations

VECTORS = Path(__file__).resolve().parents[1] / "vectors" / "statistics.json"
WORKED: list[dict[str, Any]] = json.loads(VECTORS.read_text(encoding="utf-8"))


@pytest.mark.parametrize("vector", WORKED, ids=[vector["id"] for vector in WORKED])
def test_worked_value(vector: dict[str, Any]) -> None:
    """The statistic gives the worked value, whose source stands beside it."""
    calculation = calculations.find(vector["calc"], known.ALL)
    found = calculations.worked(calculation, vector["input"])
    assert differences(vector["expected"], found, vector["tolerance"]) == [], vector["source"]


def test_every_statistic_has_a_worked_value() -> None:
    """None goes without, and each value says where it comes from."""
    assert {vector["calc"] for vector in WORKED} == {one.name for one in statistics.CALCULATIONS}
    assert [vector["id"] for vector in WORKED if len(vector["source"]) < 20] == []
