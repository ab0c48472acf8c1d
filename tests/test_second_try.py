"""Which failed tests get a second try."""

import json
from pathlib import Path

import pytest

from tests.second_try import worth_another_try

JOURNEY = "tests/journey/test_07_gates.py::test_a_fixed_stop_can_not_be_approved"
STORAGE = "tests/browser/test_storage.py::test_kill"


def noted(cache: Path, *names: str) -> Path:
    """Write what pytest notes of a run in which these failed."""
    folder = cache / "v" / "cache"
    folder.mkdir(parents=True)
    (folder / "lastfailed").write_text(json.dumps(dict.fromkeys(names, True)), encoding="utf-8")
    return cache


def test_one_or_two_browser_tests(tmp_path: Path) -> None:
    """A browser that was too slow may try again."""
    assert worth_another_try(noted(tmp_path, STORAGE, JOURNEY)) == [STORAGE, JOURNEY]


@pytest.mark.parametrize(
    "names",
    [
        ("tests/core/test_plan.py::test_x",),
        (JOURNEY, "tests/flow/test_order.py::test_y"),
        (JOURNEY, STORAGE, JOURNEY + "[b]"),
    ],
)
def test_faults_are_not_tried_again(tmp_path: Path, names: tuple[str, ...]) -> None:
    """What fails outside the browser, or often, fails the run."""
    assert worth_another_try(noted(tmp_path, *names)) == []


def test_failures_of_all_parts_count_together(tmp_path: Path) -> None:
    """Two runs that share the tests out have failed as often as both together."""
    one, other = noted(tmp_path / "1", STORAGE), noted(tmp_path / "2", JOURNEY)
    assert worth_another_try(one, other) == [STORAGE, JOURNEY]
    third = noted(tmp_path / "3", JOURNEY + "[b]")
    assert worth_another_try(one, other, third) == []


def test_nothing_noted(tmp_path: Path) -> None:
    """A run that ended before its first test has nothing to try again."""
    assert worth_another_try(tmp_path) == []
