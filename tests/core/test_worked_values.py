"""Published and worked values, put to the calculations by name in both Pythons."""

import json
from pathlib import Path
from typing import Any

import pytest

from tests.core_runtime import Core

VECTORS = Path(__file__).resolve().parents[1] / "vectors"
FILES = ("optics", "lens_power", "rotation", "vault", "endothelium", "exchange", "astigmatism")
WORKED: list[dict[str, Any]] = [
    vector
    for name in FILES
    for vector in json.loads((VECTORS / f"{name}.json").read_text(encoding="utf-8"))
]


def differences(expected: Any, found: Any, tolerance: float, path: str = "") -> list[str]:  # noqa: ANN401 - JSON
    """Return where an answer differs from the part of it that is expected."""
    if isinstance(expected, dict):
        return [
            line
            for name, value in expected.items()
            for line in differences(value, found[name], tolerance, f"{path}.{name}")
        ]
    if isinstance(expected, list):
        pairs = list(zip(expected, found, strict=True))
        return [
            line
            for place, (one, other) in enumerate(pairs)
            for line in differences(one, other, tolerance, f"{path}[{place}]")
        ]
    if path.endswith("axis_deg") and expected is not None and found is not None:
        apart = abs(expected - found) % 180.0
        return [] if min(apart, 180.0 - apart) <= tolerance else [f"{path}: {expected} {found}"]
    if isinstance(expected, str):
        return [] if expected == found else [f"{path}: {expected} {found}"]
    if isinstance(expected, bool) or expected is None or found is None:
        return [] if expected is found else [f"{path}: {expected} {found}"]
    return [] if abs(expected - found) <= tolerance else [f"{path}: {expected} {found}"]


def agrees(vector: dict[str, Any], answer: dict[str, Any]) -> None:
    """Assert that an answer holds what the vector expects, within its tolerance."""
    found = answer.get("value")
    assert found is not None, f"{vector['id']} was refused: {answer}"
    assert differences(vector["expected"], found, vector["tolerance"]) == [], vector["source"]


@pytest.mark.parametrize("vector", WORKED, ids=[vector["id"] for vector in WORKED])
def test_worked_value(core: Core, vector: dict[str, Any]) -> None:
    """The calculation gives the worked value, whose source stands beside it."""
    agrees(vector, core("calc.calculations", "answer", vector["calc"], vector["input"]))


def test_every_vector_says_where_it_comes_from() -> None:
    """A value without a source proves nothing."""
    assert [vector["id"] for vector in WORKED if len(vector["source"]) < 20] == []
    assert len({vector["id"] for vector in WORKED}) == len(WORKED)
