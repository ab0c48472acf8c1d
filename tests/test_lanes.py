"""The check command: every lane runs, and one that fails makes the whole run fail."""

from collections.abc import Callable
from typing import TextIO

import pytest

from tests import lanes, side_by_side
from tests.lanes import Lane
from tests.side_by_side import Part
from webapp.bootstrap import ROOT


class TestRunAll:
    """The summary and the exit code."""

    @pytest.mark.parametrize(("first_passes", "exit_code"), [(True, 0), (False, 1)])
    def test_a_failure_is_kept_and_the_rest_still_runs(
        self,
        monkeypatch: pytest.MonkeyPatch,
        capsys: pytest.CaptureFixture[str],
        first_passes: bool,
        exit_code: int,
    ) -> None:
        """The second lane runs whatever the first one did; the exit code tells."""
        chosen = [Lane("lint", "one", lambda: first_passes), Lane("lint", "two", lambda: True)]
        monkeypatch.setattr(lanes, "all_lanes", lambda word, options: chosen)
        assert lanes.run_all("", []) == exit_code
        summary = capsys.readouterr().out
        assert ("FAILED" in summary) is not first_passes
        assert "two" in summary

    def test_a_word_selects_its_lanes(self) -> None:
        """``unit`` runs the Python tests without a browser, and nothing else."""
        names = [lane.name for lane in lanes.all_lanes("unit", []) if lane.word == "unit"]
        assert names == ["pytest without a browser"]


class TestCommand:
    """A lane that is a program."""

    @pytest.mark.parametrize(("program", "passes"), [("true", True), ("false", False)])
    def test_passes_by_exit_code(self, program: str, passes: bool) -> None:
        """Exit 0 passes, anything else does not."""
        assert lanes.command(program)() is passes


class TestSideBySide:
    """Parts that run two at a time."""

    @pytest.mark.parametrize(("codes", "passes"), [([0, 0, 0], True), ([0, 1, 0], False)])
    def test_each_runs_and_says_its_words(
        self, capsys: pytest.CaptureFixture[str], codes: list[int], passes: bool
    ) -> None:
        """One that fails fails all, and silences none."""
        parts = [Part(f"part {number}", speaker(code)) for number, code in enumerate(codes)]
        assert side_by_side.all_pass(parts) is passes
        said = capsys.readouterr().out
        assert all(f"code {code}" in said for code in codes)
        assert all(part.name in said for part in parts)

    def test_folders_named_for_one_part_are_there(self) -> None:
        """A folder that was renamed would run twice or not at all."""
        assert all((ROOT / folder).is_dir() for folder in lanes.CORE)

    def test_every_test_of_a_browser_is_in_the_folders_of_its_lane(self) -> None:
        """One elsewhere would never run: the other lanes leave it out."""
        mark = "pytest.mark." + "browser"
        marked = [
            path.relative_to(ROOT).as_posix()
            for path in (ROOT / "tests").rglob("test_*.py")
            if mark in path.read_text(encoding="utf-8")
        ]
        assert len(marked) > 20
        assert [name for name in marked if not name.startswith(lanes.BROWSER)] == []


class TestInBrowser:
    """Two runs of the browser's tests, and the second try."""

    @pytest.mark.parametrize(
        ("codes", "second_passes", "passes"),
        [
            ([0, 0], False, True),
            ([0, 1], True, True),
            ([1, 1], True, True),
            ([1, 0], False, False),
            ([1, 2], True, False),
            ([6, 0], True, False),
        ],
    )
    def test_only_failed_tests_are_tried_again(
        self,
        monkeypatch: pytest.MonkeyPatch,
        codes: list[int],
        second_passes: bool,
        passes: bool,
    ) -> None:
        """A run that broke, or that skipped a test, fails whatever else there is."""
        monkeypatch.setattr(side_by_side, "codes_of", lambda parts: codes)
        monkeypatch.setattr(lanes, "again", lambda: second_passes)
        assert lanes.in_browser([]) is passes


def speaker(code: int) -> Callable[[TextIO], int]:
    """Return what says its exit code."""

    def run(output: TextIO) -> int:
        output.write(f"code {code}\n")
        return code

    return run
