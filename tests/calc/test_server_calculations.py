"""What the statistics and the label refuse, and that none of them needs a package."""

import json
import subprocess
import sys
from typing import Any

import pytest
from hypothesis import given, settings

from tests.core.test_any_input import answers_or_refuses, anything
from webapp import bootstrap
from webapp.calc import known, label, statistics
from webapp.core.calc import calculations
from webapp.core.errors import BadInput

SERVER = (*statistics.CALCULATIONS, label.CALCULATION)
POINTS = [[0.5, 0.25], [0.25, 0.5], [-0.25, 0.0]]

# calculation, input, the field that the refusal names.
BAD: list[tuple[str, Any, str]] = [
    ("centroid", {"points_D": POINTS[:2]}, "points_D"),
    ("centroid", {"points_D": [*POINTS, [1.0]]}, "points_D[3]"),
    ("centroid", {"points_D": [*POINTS, [1.0, True]]}, "points_D[3][1]"),
    ("centroid", {"points_D": [*POINTS, [1.0, 55.5]]}, "points_D[3][1]"),
    ("centroid", {"points_D": [*POINTS, [1.0, float("nan")]]}, "points_D[3][1]"),
    ("centroid", {"points_mm": POINTS}, "points_mm"),
    ("centroid", {}, "points_D"),
    ("proportion", {"events": 3, "n": 2}, "events"),
    ("proportion", {"events": -1, "n": 2}, "events"),
    ("proportion", {"events": 0, "n": 0}, "n"),
    ("proportion", {"events": 0.5, "n": 2}, "events"),
    ("proportion", {"events": True, "n": 2}, "events"),
    ("proportion", {"events": "1", "n": 2}, "events"),
    ("proportion", {"events": float("inf"), "n": 2}, "events"),
    ("proportion", {"events": 1, "n": 1_000_001}, "n"),
    ("proportion", {"events": 1, "n": 2, "level": 0.4}, "level"),
    ("proportion", {"events": 1, "n": 2, "level": 0.9995}, "level"),
    ("proportion", {"events": 1, "n": 2, "level": 95}, "level"),
    ("proportion", {"events": 1, "n": 2, "level": None}, "level"),
    ("proportion", {"events": 1, "n": 2, "alpha": 0.05}, "alpha"),
    ("survival", {"time_y": [1, 2], "event": [1]}, "event"),
    ("survival", {"time_y": [], "event": []}, "time_y"),
    ("survival", {"time_y": [1], "event": [True]}, "event[0]"),
    ("survival", {"time_y": [1], "event": [2]}, "event[0]"),
    ("survival", {"time_y": [1], "event": [0.5]}, "event[0]"),
    ("survival", {"time_y": [-1], "event": [0]}, "time_y[0]"),
    ("survival", {"time_y": [121], "event": [0]}, "time_y[0]"),
    ("clustered-mean", {"clusters": []}, "clusters"),
    ("clustered-mean", {"clusters": [[1], []]}, "clusters[1]"),
    ("clustered-mean", {"clusters": [1, 2]}, "clusters[0]"),
    ("clustered-mean", {"clusters": [[1], [False]]}, "clusters[1][0]"),
    ("label", {"data": 1}, "data"),
    ("label", {"data": ""}, "data"),
    ("label", {"data": "0" * 501}, "data"),
    ("label", {"data": "01"}, "data"),
    ("label", {}, "data"),
    ("label", {"data": "0109506000134352", "code": ""}, "code"),
]


@pytest.mark.parametrize(("name", "given_", "field"), BAD, ids=range(len(BAD)))
def test_refusal(name: str, given_: object, field: str) -> None:
    """Bad input is refused by the path of the field."""
    with pytest.raises(BadInput) as refusal:
        calculations.worked(calculations.find(name, known.ALL), given_)
    assert refusal.value.field == field


@pytest.mark.parametrize("calculation", SERVER, ids=lambda one: str(one.name))
@settings(max_examples=50)
@given(anything)
def test_anything(calculation: Any, given: object) -> None:  # noqa: ANN401 - a Calculation
    """Any JSON at all is answered in finite numbers or refused by field."""
    answers_or_refuses(calculation, given)


def test_a_whole_number_may_be_written_with_a_point() -> None:
    """3.0 is a count: JSON knows only numbers."""
    proportion = calculations.find("proportion", known.ALL)
    whole = calculations.worked(proportion, {"events": 3, "n": 120})
    assert calculations.worked(proportion, {"events": 3.0, "n": 120.0, "level": 0.95}) == whole


def test_statistics_need_no_installed_package() -> None:
    """A bare Python without site packages answers: 0 of 50 is 0 to 7.13 % (statsmodels)."""
    words = [sys.executable, "-S", "-m", "webapp", "calc", "proportion"]
    answer = subprocess.run(
        words, cwd=bootstrap.ROOT, input=b'{"events": 0, "n": 50}', capture_output=True, check=True
    )
    assert json.loads(answer.stdout)["wilson"] == pytest.approx([0.0, 0.071348], abs=1e-6)


def test_label_line_by_line() -> None:
    """The label answers a bare Python line by line through the command, refusals included."""
    lines = b'{"data": "0109506000134352"}\n{"data": "0109506000134353"}\n'
    words = [sys.executable, "-S", "-m", "webapp", "calc", "label", "--lines"]
    answer = subprocess.run(words, cwd=bootstrap.ROOT, input=lines, capture_output=True, check=True)
    first, second = [json.loads(line) for line in answer.stdout.splitlines()]
    assert first["gtin"] == "09506000134352"
    assert second["error"]["field"] == "data"
