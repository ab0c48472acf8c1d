"""A long run in small: it goes on where it stopped, and one failed piece fails it."""

from itertools import pairwise
from pathlib import Path

import pytest

from tests.long import __main__ as long
from tests.long import pieces, state
from tests.long.pieces import Piece


@pytest.fixture(autouse=True)
def elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep the state of a real long run out of this."""
    monkeypatch.setattr(state, "FILE", tmp_path / "long" / "state.json")


def test_pieces_cover_the_whole_once() -> None:
    """A million histories in pieces whose seeds neither overlap nor leave a gap."""
    found = pieces.of(["histories"], 1.0)
    spans = [(int(one.words[4]), int(one.words[2])) for one in found]
    assert sum(many for _, many in spans) == 1_000_000
    assert all(first + many == after for (first, many), (after, _) in pairwise(spans))


@pytest.mark.parametrize(("scale", "many"), [(0.000_01, 10), (0.015, 15_000)])
def test_a_share(scale: float, many: int) -> None:
    """Smaller runs run less of each."""
    assert sum(int(one.words[2]) for one in pieces.of(["histories"], scale)) == many


def test_it_goes_on_where_it_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    """What ended is not run again; a failure of an earlier run still counts."""
    chosen = [Piece("kind", name, []) for name in ("one", "two", "three")]
    monkeypatch.setattr(pieces, "of", lambda kinds, scale: chosen)
    monkeypatch.setattr("sys.argv", ["long"])
    run = []

    def ended(piece: Piece) -> state.Ended:
        run.append(piece.name)
        return {"passed": piece.name != "one", "seconds": 1.0, "last_line": piece.name}

    monkeypatch.setattr(pieces, "run", ended)
    state.keep({"one": {"passed": False, "seconds": 1.0, "last_line": "1 failure"}})
    assert long.main() == 1
    assert run == ["two", "three"]
    monkeypatch.setattr("sys.argv", ["long", "--again"])
    assert long.main() == 1
    assert run[2:] == ["one", "two", "three"]


def test_a_piece_says_how_it_went(capfd: pytest.CaptureFixture[str]) -> None:
    """The exit code decides; the last line is kept."""
    asked = Piece("kind", "name", ["tests.differential", "--eyes", "no number"])
    assert pieces.run(asked)["passed"] is False
    fine = pieces.run(Piece("kind", "name", ["webapp", "calc", "--list"]))
    assert fine["passed"] is True
    assert fine["last_line"]
