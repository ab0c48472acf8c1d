"""The check command: every lane runs, and one that fails makes the whole run fail."""

import pytest

from tests import lanes
from tests.lanes import Lane


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
        assert names == ["pytest"]


class TestCommand:
    """A lane that is a program."""

    @pytest.mark.parametrize(("program", "passes"), [("true", True), ("false", False)])
    def test_passes_by_exit_code(self, program: str, passes: bool) -> None:
        """Exit 0 passes, anything else does not."""
        assert lanes.command(program)() is passes
