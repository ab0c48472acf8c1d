"""Which findings stand open on the desk's pages."""

from typing import Any

import pytest

from tests.records.vectors import read
from webapp.desk import findings

CASES: list[dict[str, Any]] = read("findings")["cases"]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_as_on_the_phone(case: dict[str, Any]) -> None:
    """The same cases are asked of the phone's code, ``tests/js/ui/findings.test.js``."""
    made = [
        {"code": code, "level": level, "cause": cause} for code, level, cause in case["findings"]
    ]
    split = findings.split(made)
    assert [one["code"] for one in split.open] == case["open"]
    assert [one["code"] for one in split.folded] == case["folded"]
