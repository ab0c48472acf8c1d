"""Boxes held against an order: which check verifies an eye, whatever the order of arrival."""

import json
from itertools import permutations
from typing import Any

import pytest

from tests.core import records
from tests.core.decided import (
    approval,
    box_checked,
    cancelled,
    confirmed,
    eye_of,
    ordered,
    received,
    sent,
)
from tests.core_runtime import Core

Entry = records.Entry
EYE = records.whole_eye()
REQUEST = sent(EYE)
APPROVAL = approval(EYE, REQUEST)
ORDER = ordered(APPROVAL)
ARRIVED = [*EYE, REQUEST, APPROVAL, ORDER, received(ORDER)]
LENS: dict[str, Any] = ORDER["payload"]["body"]["lens"]  # type: ignore[index]


def check(*seen: Entry, outcome: str = "agrees", serial: str = "SER9") -> Entry:
    """Return the check of a box that has seen earlier ones."""
    label = {**LENS, "lot": "LOT7", "serial": serial, "expiry_date": "2031-02-28"}
    return box_checked(ORDER, label, seen, outcome)


RIGHT = check()
WRONG = check(outcome="differs", serial="SER8")
AGAIN = check(WRONG)
OTHER_LENS = check(serial="SER7")

# What arrived, the state of the eye, and the check that verifies it.
CASES: list[tuple[str, list[Entry], str, Entry | None]] = [
    ("nothing yet", [], "received", None),
    ("the right box", [RIGHT], "verified", RIGHT),
    ("a wrong box", [WRONG], "received", None),
    ("the right one, and a wrong one that it has not seen", [RIGHT, WRONG], "received", None),
    ("the right one again, which has seen the wrong one", [RIGHT, WRONG, AGAIN], "verified", AGAIN),
    ("two lenses that agree", [RIGHT, OTHER_LENS], "received", None),
]


@pytest.mark.parametrize(
    ("checks", "state", "verified"), [row[1:] for row in CASES], ids=[row[0] for row in CASES]
)
def test_in_any_order_of_arrival(checks: list[Entry], state: str, verified: Entry | None) -> None:
    """I5, I6: neither order nor duplicates change which check counts."""
    for arrived in permutations(checks):
        found = eye_of([*arrived, *ARRIVED, *arrived])
        assert found["state"] == state
        assert found["box"]["verified"] == (verified["id"] if verified else None)


@pytest.mark.parametrize("checks", [row[1] for row in CASES], ids=[row[0] for row in CASES])
def test_both_pythons_agree(browser_core: Core, checks: list[Entry]) -> None:
    """I23: the phone sees the same boxes as the server."""
    asked = json.dumps(records.fold_request([*ARRIVED, *checks]))
    found = json.loads(browser_core("door", "call", asked)["value"])["eyes"]["R"]
    assert found == eye_of([*ARRIVED, *checks])


def test_a_wrong_box_is_a_stop_until_somebody_has_looked_again() -> None:
    """The stop names the check, nobody may override it, and a check that has seen it ends it."""
    stops = {one["code"]: one for one in eye_of([*ARRIVED, WRONG])["findings"]}
    assert stops["box.differs"]["records"] == [WRONG["id"]]
    assert (stops["box.differs"]["level"], stops["box.differs"]["fixed"]) == ("stop", 1)
    codes = [one["code"] for one in eye_of([*ARRIVED, WRONG, AGAIN])["findings"]]
    assert "box.differs" not in codes


def test_only_a_lens_that_arrived_as_it_was_ordered() -> None:
    """Neither before its arrival, nor while the supplier confirmed something else."""
    assert eye_of([*EYE, REQUEST, APPROVAL, ORDER, RIGHT])["state"] == "ordered"
    longer = confirmed(ORDER, lens={"length_um": LENS["length_um"] + 500})
    found = eye_of([*ARRIVED, RIGHT, longer])
    assert (found["state"], found["box"]["verified"]) == ("ordered", None)


def test_of_an_ended_order_nothing_is_left() -> None:
    """A cancelled order has no box."""
    found = eye_of([*ARRIVED, RIGHT, cancelled(ORDER)])
    assert (found["state"], found["box"]) == ("cancelled", None)


def test_the_timeline_says_how_each_box_came_out() -> None:
    """One line a check, with the serial number that was read."""
    lines = [one["text"] for one in eye_of([*ARRIVED, WRONG, AGAIN])["timeline"]]
    assert "Lens box checked, serial number SER8: differs, not to be implanted" in lines
    assert "Lens box checked, serial number SER9: agrees" in lines
