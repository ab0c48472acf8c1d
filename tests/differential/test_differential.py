"""Both Pythons over random eyes: not one integer, choice or finding apart."""

import json
from pathlib import Path

import pytest

from tests.differential import compare, eyes

EYES = 5000
"""In each full run. ``python3 -m tests differential`` does more."""
FOLD_EVERY, WORKING_EVERY = 5, 50
"""The plan of each eye takes half of the time. The other Python is some ten times slower than this
one and nearly all of it, so what is asked twice is asked of some."""

ONCE_APART = [
    # Two lengths lie alike on both sides of the window's middle: equal chances but for a last bit.
    (2026, 11104),
]


@pytest.fixture(scope="module")
def tally() -> compare.Tally:
    """Return the comparison of the run's eyes."""
    return compare.tally(
        compare.Run(20261125, EYES, working_every=WORKING_EVERY, fold_every=FOLD_EVERY)
    )


class TestRandomEyes:
    """Case file, plan and working of each eye, through the door."""

    def test_no_difference(self, tally: compare.Tally) -> None:
        """Everything that leaves the door is the same; no eye makes the core fault."""
        assert [one.text() for one in tally.differences] == []
        assert tally.eyes == EYES

    def test_enough_of_them_get_a_lens(self, tally: compare.Tally) -> None:
        """Four in ten at least: the rest is refused, missing or beyond what is made."""
        assert tally.planned >= 0.4 * EYES

    @pytest.mark.parametrize(("seed", "number"), ONCE_APART)
    def test_what_was_once_apart(self, seed: int, number: int) -> None:
        """Eyes in which the two Pythons chose differently, before the reason was mended."""
        (outcome,) = compare.run(compare.Run(seed, 1, start=number))
        assert [one.text() for one in outcome[2]] == []


class TestComparison:
    """The comparison sees what it is there for."""

    @pytest.mark.parametrize(
        ("here", "there", "path"),
        [
            ({"a": 1}, {"a": 2}, "/a"),
            ({"a": [1, 2]}, {"a": [1, 3]}, "/a/1"),
            ({"a": [1, 2]}, {"a": [1]}, "/a"),
            ({"a": 1}, {"a": 1, "b": 1}, ""),
            ({"a": 1}, {"a": "1"}, "/a"),
            ({"a": 1}, {"a": 1.0}, "/a"),
            ({"a": 1.5}, {"a": 1.5}, "/a"),
            ({"a": None}, {"a": 0}, "/a"),
        ],
    )
    def test_a_planted_difference_is_found(self, here: object, there: object, path: str) -> None:
        """Another number, length, name or type; and a float, even where both have it."""
        (found,) = compare.judged(7, "plan", json.dumps(here), json.dumps(there))
        assert (found.number, found.path) == (7, path)
        assert found.text()

    def test_equal_answers_agree(self) -> None:
        """The order of names does not matter."""
        assert compare.judged(1, "plan", '{"a": 1, "b": [null]}', '{"b": [null], "a": 1}') == []

    def test_a_fault_in_both_is_not_agreement(self) -> None:
        """An answer that could not be calculated counts as a difference."""
        fault = json.dumps({"error": {"field": None, "message": "this could not be calculated"}})
        assert len(compare.judged(1, "plan", fault, fault)) == 1

    def test_what_is_asked_of_which_eye(self) -> None:
        """The plan of every eye, of some the case file and the working, each once."""
        asked = compare.Run(3, 7, working_every=3, fold_every=2)
        doors = [json.loads(text)["do"] for text in compare.texts(asked, range(7))]
        assert doors == [
            *("fold", "plan", "working"), "plan", *("fold", "plan"), *("plan", "working"),
            *("fold", "plan"), "plan", *("fold", "plan", "working"),
        ]  # fmt: skip

    def test_a_run_goes_on_where_it_was_cut(self) -> None:
        """The same numbers give the same outcomes, whichever process of the engine had them."""
        whole = list(compare.run(compare.Run(3, 6)))
        parts = [*compare.run(compare.Run(3, 3)), *compare.run(compare.Run(3, 3, start=3))]
        assert [number for number, _, _ in whole] == list(range(6))
        assert parts == whole

    def test_a_fault_of_the_engine_is_no_short_run(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """An engine that stops ends the run with its own words, not with fewer eyes."""
        monkeypatch.setattr(compare, "BRIDGE", Path(__file__).with_name("no_such_bridge.py"))
        with pytest.raises(RuntimeError, match="no_such_bridge"):
            compare.tally(compare.Run(3, 2))

    def test_an_eye_can_be_found_again(self) -> None:
        """A seed and a number give the same requests each time; another number others."""
        assert eyes.requests(3, 14) == eyes.requests(3, 14)
        assert eyes.requests(3, 14) != eyes.requests(3, 15)
