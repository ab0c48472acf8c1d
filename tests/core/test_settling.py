"""A contradiction ends by a third surgeon's settlement, which names every decision (I9, I18)."""

import json
from typing import Any

import pytest

from tests.core import records
from tests.core.decided import (
    OTHER_SURGEON,
    SURGEON,
    THIRD_SURGEON,
    approval,
    decline,
    eye_of,
    ids,
    sent,
    taken_back,
)
from tests.core_runtime import Core

Entry = records.Entry
FOURTH = {**SURGEON, "author": "u-quay", "key": "k5", "wall": "2026-11-25T07:10:00.000Z"}

EYE = records.whole_eye()
REQUEST = sent(EYE)
ONE = approval(EYE, REQUEST)
SHOWN = ONE["payload"]["body"]["shown"]  # type: ignore[index]
OTHER = approval(EYE, REQUEST, OTHER_SURGEON,
                 shown={**SHOWN, "lens": {**SHOWN["lens"], "length_um": 12100}})  # fmt: skip
REFUSED = decline(REQUEST, OTHER_SURGEON)
APART = [*EYE, REQUEST, ONE, OTHER]


def settled(
    decisions: list[Entry], kept: Entry | None, by: dict[str, Any] = THIRD_SURGEON
) -> Entry:
    """Return a settlement."""
    body = {
        "decisions": ids(decisions),
        "kept": kept["id"] if kept else None,
    }
    return records.record("decision.settled", body, "R", reason="It fits better", **by)


class TestSettlement:
    """What a settlement does to each decision."""

    def test_before_it_both_stand_and_nothing_counts(self) -> None:
        """The page needs to know which records contradict each other."""
        found = eye_of(APART)
        assert found["state"] == "conflict"
        assert found["contradicting"] == ids([ONE, OTHER])
        assert found["settlements"] == []

    @pytest.mark.parametrize("kept", [ONE, OTHER])
    def test_the_kept_one_alone_stands(self, kept: Entry) -> None:
        """The other one says why it fell, with the record that did it."""
        settlement = settled([ONE, OTHER], kept)
        found = eye_of([*APART, settlement])
        assert found["state"] == "approved"
        assert found["approval"]["id"] == kept["id"]
        assert found["contradicting"] == []
        (fallen,) = [one for one in found["approvals"] if not one["live"]]
        assert [(why["code"], why["record"]) for why in fallen["stale"]] == [
            ("settled", settlement["id"])
        ]
        assert "It fits better" in fallen["stale"][0]["text"]

    def test_keeping_none_leaves_the_eye_to_be_decided_again(self) -> None:
        """Both fall; a fresh approval, which the settlement did not know, stands."""
        history = [*APART, settled([ONE, OTHER], None)]
        found = eye_of(history)
        assert found["state"] == "stale"
        assert all(not one["live"] for one in found["approvals"])
        assert eye_of([*history, approval(EYE, REQUEST, FOURTH)])["state"] == "approved"

    @pytest.mark.parametrize("by", [SURGEON, OTHER_SURGEON])
    def test_whoever_gave_one_cannot_settle(self, by: dict[str, Any]) -> None:
        """Not even in one's own disfavour: for that there is taking back (I18)."""
        found = eye_of([*APART, settled([ONE, OTHER], ONE, {**by, "seq": 50})])
        assert found["state"] == "conflict"
        assert found["settlements"] == []

    def test_only_a_surgeon_settles(self) -> None:
        """The desk and the camp cannot."""
        by = {**THIRD_SURGEON, "role": "desk"}
        assert eye_of([*APART, settled([ONE, OTHER], ONE, by)])["state"] == "conflict"

    def test_two_settlements_that_differ_leave_nothing_standing(self) -> None:
        """Made offline by two surgeons: neither lens can be ordered, the eye is decided again."""
        both = [settled([ONE, OTHER], ONE), settled([ONE, OTHER], OTHER, FOURTH)]
        found = eye_of([*APART, *both])
        assert found["state"] == "stale"
        assert found["approval"]["live"] == 0

    def test_a_decision_that_it_did_not_know_contradicts_again(self) -> None:
        """A third approval that comes later is not settled by what never named it."""
        third = {**SHOWN, "lens": {**SHOWN["lens"], "length_um": 13100}}
        late = approval(EYE, REQUEST, FOURTH, shown=third)
        found = eye_of([*APART, settled([ONE, OTHER], ONE), late])
        assert found["state"] == "conflict"
        assert found["contradicting"] == ids([ONE, late])

    def test_taken_back_the_contradiction_is_there_again(self) -> None:
        """The settlement's author changes their mind."""
        settlement = settled([ONE, OTHER], ONE)
        found = eye_of([*APART, settlement, taken_back(settlement, THIRD_SURGEON)])
        assert found["state"] == "conflict"

    def test_it_brings_nothing_back_that_was_taken_back(self) -> None:
        """What was kept has to stand by itself."""
        history = [*APART, settled([ONE, OTHER], ONE), taken_back(ONE)]
        found = eye_of(history)
        assert found["state"] == "stale"
        assert [one for one in found["approvals"] if one["live"]] == []


class TestDecline:
    """A refusal against an approval of the same request."""

    def test_settled_for_the_approval(self) -> None:
        """The decline is set aside; it is in the history, not in the way."""
        found = eye_of([*EYE, REQUEST, ONE, REFUSED, settled([ONE, REFUSED], ONE)])
        assert found["state"] == "approved"
        assert found["decline"] is None

    def test_settled_for_the_decline(self) -> None:
        """The eye is declined."""
        found = eye_of([*EYE, REQUEST, ONE, REFUSED, settled([ONE, REFUSED], REFUSED)])
        assert found["state"] == "declined"
        assert found["declines"][0]["request"] == REQUEST["id"]

    def test_taken_back_by_its_author(self) -> None:
        """The approval alone stands."""
        found = eye_of([*EYE, REQUEST, ONE, REFUSED, taken_back(REFUSED, OTHER_SURGEON)])
        assert found["state"] == "approved"

    def test_an_only_decline_taken_back_opens_the_request_again(self) -> None:
        """The eye waits for a surgeon as before."""
        found = eye_of([*EYE, REQUEST, REFUSED, taken_back(REFUSED, OTHER_SURGEON)])
        assert found["state"] == "queued"


def test_both_pythons_settle_alike(browser_core: Core) -> None:
    """The phone's engine and the server's give the same eye (I23)."""
    history = [*APART, settled([ONE, OTHER], OTHER)]
    asked = json.dumps(records.fold_request(history))
    found = json.loads(browser_core("door", "call", asked)["value"])["eyes"]["R"]
    assert found == eye_of(history)
