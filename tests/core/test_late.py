"""What comes after an order, and a surgeon's answer to it (H23, invariants I13, I14)."""

import json
from typing import Any

import pytest

from tests.core import records
from tests.core.decided import (
    OTHER_SURGEON,
    SURGEON,
    THIRD_SURGEON,
    answered,
    approval,
    cancelled,
    decline,
    eye_of,
    ids,
    ordered,
    question,
    sent,
    taken_back,
    void,
)
from tests.core_runtime import Core

Entry = records.Entry
EYE = records.whole_eye()
WIDTH = records.find(EYE, "reading.white_to_white")
REQUEST = sent(EYE)
APPROVAL = approval(EYE, REQUEST)
ORDER = ordered(APPROVAL)
ORDERED = [*EYE, REQUEST, APPROVAL, ORDER]
LATER = records.reading("reading.white_to_white", diameter_um=11650, seq=40)
AGAIN = records.reading("reading.white_to_white", diameter_um=11640, seq=41)

REMOVED = void(WIDTH, seq=71)
TAKEN = taken_back(APPROVAL)
UNSENT = taken_back(REQUEST, {"author": "u-ambler", "role": "optometrist", "key": "k1"})
LENS = APPROVAL["payload"]["body"]["shown"]["lens"]  # type: ignore[index]
SHOWN = {
    **APPROVAL["payload"]["body"]["shown"],  # type: ignore[index]
    "lens": {**LENS, "length_um": 12100},
}
SECOND = approval(EYE, REQUEST, OTHER_SURGEON, shown=SHOWN)
REFUSED = decline(REQUEST, OTHER_SURGEON)
ASKED = question(REQUEST, OTHER_SURGEON)


def answer(seen: list[Entry], said: str, by: dict[str, Any] = THIRD_SURGEON) -> Entry:
    """Return a surgeon's answer to late records."""
    body = {"order": ORDER["id"], "seen": ids(seen), "answer": said}
    return records.record("late.answered", body, "R", reason="Weighed against the chart", **by)


def codes(entries: list[Entry]) -> list[str]:
    """Return the codes of the findings about decisions."""
    found = [one["code"] for one in eye_of(entries)["findings"]]
    return [code for code in found if code.startswith("decisions.")]


class TestUnanswered:
    """What counts as late."""

    def test_nothing_late(self) -> None:
        """The order stands, the lens may be released."""
        late = eye_of(ORDERED)["late"]
        assert (late["order"], late["unanswered"], late["answer"]) == (ORDER["id"], [], None)
        assert (late["next"], late["blocks"]) == ("none", 0)

    def test_no_order_no_late_evidence(self) -> None:
        """Before an order newer readings make the approval fall instead."""
        assert eye_of([*EYE, REQUEST, APPROVAL, LATER])["late"] is None
        assert eye_of([*ORDERED, cancelled(ORDER), LATER])["late"] is None

    @pytest.mark.parametrize(
        ("record", "code"),
        [
            (LATER, "evidence.added"),
            (REMOVED, "evidence.removed"),
            (TAKEN, "withdrawn"),
            (UNSENT, "request"),
            (SECOND, "approved"),
            (REFUSED, "declined"),
            (ASKED, "question"),
        ],
    )
    def test_each_thing_that_can_come_late(self, record: Entry, code: str) -> None:
        """It names its record, blocks the release, and undoes no order."""
        found = eye_of([*ORDERED, record])
        assert found["state"] == "ordered"
        assert [(one["code"], one["record"]) for one in found["late"]["unanswered"]] == [
            (code, record["id"])
        ]
        assert (found["late"]["next"], found["late"]["blocks"]) == ("answer", 1)
        assert codes([*ORDERED, record]) == ["decisions.late_evidence"]

    def test_a_question_that_the_camp_answers_needs_no_surgeon(self) -> None:
        """It was asked, it is answered."""
        assert eye_of([*ORDERED, ASKED, answered(ASKED)])["late"]["blocks"] == 0

    def test_a_reading_of_the_other_eye_is_not_late(self) -> None:
        """It belongs to another case (I16)."""
        left = records.reading("reading.white_to_white", "L", seq=42)
        assert eye_of([*ORDERED, left])["late"]["blocks"] == 0


class TestAnswers:
    """Keep, cancel, plan again."""

    def test_kept(self) -> None:
        """The lens may be released; the answer stays to be read."""
        found = eye_of([*ORDERED, LATER, answer([LATER], "keep")])
        assert (found["late"]["next"], found["late"]["blocks"]) == ("none", 0)
        assert found["late"]["answer"]["answer"] == "keep"
        assert codes([*ORDERED, LATER, answer([LATER], "keep")]) == []

    def test_a_newer_record_asks_again(self) -> None:
        """The answer binds the records that it has seen, and no other."""
        history = [*ORDERED, LATER, answer([LATER], "keep"), AGAIN]
        late = eye_of(history)["late"]
        assert [one["record"] for one in late["unanswered"]] == [AGAIN["id"]]
        assert late["blocks"] == 1
        assert eye_of([*history, answer([AGAIN], "keep", SURGEON)])["late"]["blocks"] == 0

    @pytest.mark.parametrize("said", ["cancel", "plan_again"])
    def test_cancelled_until_the_desk_has_done_so(self, said: str) -> None:
        """The next step is the desk's; after it the eye is free."""
        history = [*ORDERED, LATER, answer([LATER], said)]
        found = eye_of(history)
        assert (found["late"]["next"], found["late"]["blocks"]) == (said, 1)
        assert codes(history) == ["decisions.to_cancel"]
        assert eye_of([*history, cancelled(ORDER)])["state"] == "cancelled"

    def test_of_two_answers_the_one_that_cancels_counts(self) -> None:
        """Whichever came first."""
        both = [answer([LATER], "keep"), answer([LATER], "cancel", OTHER_SURGEON)]
        for history in ([*ORDERED, LATER, *both], [*ORDERED, LATER, *reversed(both)]):
            assert eye_of(history)["late"]["next"] == "cancel"

    def test_taken_back_it_asks_again(self) -> None:
        """Whoever answered may think better of it."""
        given = answer([LATER], "keep")
        late = eye_of([*ORDERED, LATER, given, taken_back(given, THIRD_SURGEON)])["late"]
        assert (late["next"], late["blocks"]) == ("answer", 1)

    def test_nobody_keeps_an_order_against_their_own_record(self) -> None:
        """A second person must; cancelling is open to everyone."""
        own = records.reading("reading.white_to_white", diameter_um=11650, **THIRD_SURGEON)
        assert eye_of([*ORDERED, own, answer([own], "keep")])["late"]["blocks"] == 1
        assert eye_of([*ORDERED, own, answer([own], "cancel")])["late"]["next"] == "cancel"

    @pytest.mark.parametrize(
        ("since", "said", "then"),
        [
            ("2026-11-01T00:00:00.000Z", "keep", "answer"),
            ("2026-12-31T00:00:00.000Z", "keep", "none"),
            ("2026-11-01T00:00:00.000Z", "cancel", "cancel"),
        ],
        ids=["in other hands", "lost later", "cancelled all the same"],
    )
    def test_a_key_in_other_hands_keeps_no_order(self, since: str, said: str, then: str) -> None:
        """Doubt goes towards not implanting (H23): a stolen phone may stop a lens, no more."""
        given = answer([LATER], said)
        stolen = {"id": "a" * 64, "key": given["payload"]["key"], "suspected_since": since}  # type: ignore[index]
        there = {**records.REFERENCE, "revoked_keys": [stolen]}
        late = eye_of([*ORDERED, LATER, given], reference=there)["late"]
        assert (late["next"], late["blocks"]) == (then, int(then != "none"))

    def test_only_a_surgeon_answers(self) -> None:
        """The desk cannot keep an order against a late reading."""
        by = {**THIRD_SURGEON, "role": "desk"}
        assert eye_of([*ORDERED, LATER, answer([LATER], "keep", by)])["late"]["blocks"] == 1

    def test_an_answer_about_another_order_counts_for_nothing(self) -> None:
        """It names its order."""
        other = records.record(
            "late.answered",
            {"order": "9" * 64, "seen": [LATER["id"]], "answer": "keep"},
            "R", reason="another", **THIRD_SURGEON,
        )  # fmt: skip
        assert eye_of([*ORDERED, LATER, other])["late"]["blocks"] == 1


def test_both_pythons_agree(browser_core: Core) -> None:
    """The phone's engine and the server's give the same eye (I23)."""
    history = [*ORDERED, LATER, AGAIN, answer([LATER], "keep")]
    asked = json.dumps(records.fold_request(history))
    found = json.loads(browser_core("door", "call", asked)["value"])["eyes"]["R"]
    assert found == eye_of(history)
