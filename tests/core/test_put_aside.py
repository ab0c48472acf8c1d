"""Boxes that were put aside in theatre: on a list until somebody says what became of each."""

import json
from itertools import permutations
from typing import Any

import pytest

from tests.core import records, theatre
from tests.core.decided import DESK, cancelled, eye_of
from tests.core.test_theatre import surgery
from tests.core_runtime import Core

Entry = records.Entry
OTHER = theatre.SCAN.replace("SER9", "SER1")
TYPED = {"lot": "LOT7", "serial": "ser 1", "expiry_date": "2031-02-28"}


def aside(**changed: object) -> Entry:
    """Return that a box of another serial number was put aside, parts changed by name."""
    body = {
        "order": theatre.ORDER["id"], "code": OTHER, "trace": None, "second_trace": None,
        "why": "another", **changed,
    }  # fmt: skip
    return records.record("box.put_aside", body, "R", **theatre.NURSE)


def answered(of: Entry, becomes: str = "returned", note: str | None = None) -> Entry:
    """Return what the desk said became of a box."""
    body = {"aside": of["id"], "becomes": becomes, "note": note}
    return records.record("box.answered", body, "R", **DESK)


def eye(*entries: Entry) -> dict[str, Any]:
    """Return the right eye with a released box and these records."""
    found: dict[str, Any] = eye_of([*theatre.ARRIVED, *entries])
    return found


def test_another_box_takes_no_release_away() -> None:
    """The right one may lie beside it: the eye stays ready, and the box is on the list."""
    label = theatre.box_check()
    found = eye(label, aside())
    assert found["theatre"]["ready"] == 1
    (one,) = found["aside"]
    assert (one["serials"], one["answer"]) == (["SER1"], None)
    assert "Not the box that was released" in one["text"]


def test_a_stop_in_theatre_puts_the_released_box_aside() -> None:
    """Also where nothing was scanned: it is the released one then."""
    label = theatre.box_check()
    stopped = theatre.check(label, outcome="not_implanted", why="turned", note="x", code=None)
    (one,) = eye(label, stopped)["aside"]
    assert one["id"] == stopped["id"] and one["serials"] == ["SER9"]
    assert eye(label, theatre.check(label))["aside"] == []


def test_a_stopped_box_is_what_was_read_off_it() -> None:
    """The released one lies elsewhere then, and is not named."""
    label = theatre.box_check()
    (one,) = eye(label, theatre.check(label, outcome="differs", code=OTHER))["aside"]
    assert one["serials"] == ["SER1"]


def test_readings_that_differ_are_both_said() -> None:
    """Each as it was read, once."""
    (one,) = eye(aside(code=None, trace=TYPED, second_trace=TYPED, why="readings"))["aside"]
    assert one["serials"] == ["ser 1"]
    both = aside(code=OTHER, trace={**TYPED, "serial": "SER7"}, second_trace=TYPED)
    assert eye(both)["aside"][0]["serials"] == ["SER1", "SER7"]
    other = aside(code=None, trace=TYPED, second_trace={**TYPED, "serial": "SER7"}, why="readings")
    assert eye(other)["aside"][0]["serials"] == ["ser 1", "SER7"]


@pytest.mark.parametrize("becomes", ["shelf", "kept", "returned", "destroyed"])
def test_the_desk_says_what_became_of_it(becomes: str) -> None:
    """Nobody but it: it leaves the list, with who said so."""
    box = aside()
    (one,) = eye(box, answered(box, becomes, "Fetched."))["aside"]
    assert one["answer"]["author"] == DESK["author"] and "Fetched." in one["answer"]["text"]
    other = aside(why="readings")
    assert [each["answer"] is None for each in eye(box, other, answered(other))["aside"]].count(
        True
    ) == 1


def test_a_new_check_answers_for_the_same_box_alone() -> None:
    """It has to name the stop, and be of that serial number; another lens leaves the box there."""
    label = theatre.box_check()
    stopped = theatre.check(label, outcome="not_implanted", why="decided", note="Cough")
    again = theatre.box_check(stopped)
    assert eye(label, stopped, again)["aside"][0]["answer"]["text"] == "Checked again and released."
    another = theatre.box_check(stopped, serial="SER2")
    assert eye(label, stopped, another)["aside"][0]["answer"] is None
    assert eye(label, stopped, theatre.box_check())["aside"][0]["answer"] is None
    differed = theatre.box_check(stopped, outcome="differs")
    assert eye(label, stopped, differed)["aside"][0]["answer"] is None


def test_a_cancelled_order_says_nothing_of_the_box() -> None:
    """It lies somewhere all the same."""
    (one,) = eye(aside(), cancelled(theatre.ORDER))["aside"]
    assert one["answer"] is None


def test_a_code_that_cannot_be_read_gives_no_serial_number() -> None:
    """And no answer of another box counts for it."""
    (one,) = eye(aside(code="]d2not a code"))["aside"]
    assert one["serials"] == []


def test_an_implanted_box_is_answered() -> None:
    """A slip in reading puts the right box aside; the surgery says where it went."""
    label = theatre.box_check()
    slip = aside(code=theatre.SCAN, trace={**TYPED, "serial": "SER8"}, why="readings")
    (one,) = eye(label, slip, surgery(theatre_check=None, unchecked_reason="x"))["aside"]
    assert one["answer"]["text"] == "Implanted in this eye."
    assert (
        eye(label, slip, surgery(serial="SER5", theatre_check=None, unchecked_reason="x"))["aside"][
            0
        ]["answer"]
        is None
    )


def test_in_any_order_of_arrival_and_in_both_pythons(browser_core: Core) -> None:
    """I5, I23: the tablet sees the same boxes as the desk."""
    label = theatre.box_check()
    stopped, box = theatre.ended(), aside()
    arrived = [label, stopped, theatre.box_check(stopped), box, answered(box)]
    expected = eye(*arrived)["aside"]
    assert len(expected) == 2 and all(one["answer"] for one in expected)
    for shuffled in permutations(arrived):
        assert eye(*shuffled)["aside"] == expected
    asked = json.dumps(records.fold_request([*theatre.ARRIVED, *arrived]))
    said = json.loads(browser_core("door", "call", asked)["value"])
    assert said["eyes"]["R"]["aside"] == expected
