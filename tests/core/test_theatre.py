"""Theatre in the fold: which check counts, what takes a lens away, what a surgery needs behind it.

Expected outcomes follow from invariants I16, I19, I20 and I21 and hazards H29 to H32.
"""

import json
from itertools import permutations
from typing import Any

import pytest

from tests.core import decided, records, second_cycle
from tests.core.decided import DESK, OTHER_SURGEON, cancelled, eye_of, received, void
from tests.core.decided import confirmed as supplier
from tests.core.exchanges import operated
from tests.core.surgeries import implanted
from tests.core.theatre import (
    ARRIVED,
    DAY,
    LENS,
    NURSE,
    ORDER,
    SURGEON_THERE,
    box_check,
    check,
    confirmed,
    ended,
    listed,
)
from tests.core_runtime import Core

Entry = records.Entry
BOX = box_check()
READY = [*ARRIVED, BOX]
CHECK = check(BOX)
SECOND = confirmed(CHECK)
STOPPED = ended()
AGAIN = box_check(STOPPED)
AFTER = "2026-11-26T08:00:00.000Z"
LATE = records.reading("reading.white_to_white", diameter_um=12400, seq=33)


def late_answer(order: Entry, answer: str, *seen: Entry, role: str = "surgeon") -> Entry:
    """Return what a surgeon answered to what came after an order."""
    body = {"order": order["id"], "seen": sorted(one["id"] for one in seen), "answer": answer}
    who = {**OTHER_SURGEON, "role": role}
    return records.record("late.answered", body, "R", reason="Weighed", **who)


def theatre_of(*entries: Entry) -> dict[str, Any]:
    """Return what the fold says of theatre."""
    found: dict[str, Any] = eye_of(list(entries))["theatre"]
    return found


def codes(*entries: Entry) -> list[str]:
    """Return the codes of the findings about theatre."""
    return [one["code"] for one in eye_of(list(entries))["findings"] if one["cause"] == "theatre"]


# What arrived beside a released box; ready, the check that counts, and its second person.
CASES: list[tuple[str, list[Entry], int, Entry | None, Entry | None]] = [
    ("nothing yet", [], 1, None, None),
    ("checked by one", [CHECK], 1, CHECK, None),
    ("confirmed by another", [CHECK, SECOND], 1, CHECK, SECOND),
    ("stopped", [STOPPED], 0, None, None),
    ("checked, then stopped", [CHECK, SECOND, STOPPED], 0, None, None),
    ("stopped, and its box checked anew", [STOPPED, AGAIN], 1, None, None),
    ("an old check of a box that was checked anew", [CHECK, SECOND, STOPPED, AGAIN], 1, None, None),
    ("the supplier confirmed another lens", [CHECK, SECOND,
        supplier(ORDER, lens={"length_um": 13200})], 0, None, None),
    ("evidence came after the order", [CHECK, SECOND, LATE], 0, None, None),
]  # fmt: skip


@pytest.mark.parametrize(
    ("more", "ready", "counts", "second"), [row[1:] for row in CASES], ids=[row[0] for row in CASES]
)
def test_in_any_order_of_arrival(
    more: list[Entry], ready: int, counts: Entry | None, second: Entry | None
) -> None:
    """I5, I6: neither order nor duplicates change which check counts."""
    for arrived in permutations(more):
        found = theatre_of(*arrived, *READY, *arrived)
        assert found["ready"] == ready
        assert (found["check"] or {}).get("id") == (counts["id"] if counts else None)
        assert (found["confirmed"] or {}).get("id") == (second["id"] if second else None)


@pytest.mark.parametrize("more", [row[1] for row in CASES], ids=[row[0] for row in CASES])
def test_both_pythons_agree(browser_core: Core, more: list[Entry]) -> None:
    """I23: the tablet sees the same theatre as the server."""
    asked = json.dumps(records.fold_request([*READY, *more]))
    assert json.loads(browser_core("door", "call", asked)["value"])["eyes"]["R"] == eye_of(
        [*READY, *more]
    )


class TestSecondPerson:
    """A check counts with somebody else's word, by their own key."""

    @pytest.mark.parametrize(
        "who",
        [SURGEON_THERE, {**NURSE, "author": "u-verrill"}, {**NURSE, "key": SURGEON_THERE["key"]}],
        ids=["the first person", "the first person by another key", "another by the same key"],
    )
    def test_is_another_with_a_key_of_their_own(self, who: dict[str, Any]) -> None:
        """Neither author nor key may be those of the check."""
        assert theatre_of(*READY, CHECK, confirmed(CHECK, who))["confirmed"] is None

    def test_says_the_axis_of_a_lens_that_has_one(self) -> None:
        """H33: a toric lens whose axis was not said is not confirmed."""
        assert theatre_of(*READY, CHECK, confirmed(CHECK, axis_said=None))["confirmed"] is None


class TestStopped:
    """A lens that theatre stopped is no longer released."""

    def test_is_a_stop_nobody_overrides(self) -> None:
        """With the reason, until a new check of the box names it."""
        stops = {one["code"]: one for one in eye_of([*READY, STOPPED])["findings"]}
        found = stops["theatre.stopped"]
        assert (found["level"], found["fixed"], found["records"]) == ("stop", 1, [STOPPED["id"]])
        assert "upside down" in found["text"]
        assert eye_of([*READY, STOPPED])["box"]["doubts"] == [STOPPED["id"]]
        assert codes(*READY, STOPPED, AGAIN) == []

    def test_a_new_check_that_does_not_name_it_releases_nothing(self) -> None:
        """A box checked by somebody who did not know of it."""
        assert theatre_of(*READY, STOPPED, box_check(lot="LOT8"))["ready"] == 0

    def test_a_box_that_differs_in_theatre(self) -> None:
        """The same, recorded by the comparison."""
        differs = check(BOX, code=None, printed_same=0, outcome="differs")
        assert codes(*READY, differs) == ["theatre.stopped"]

    def test_its_author_cannot_take_it_back(self) -> None:
        """Nor a check that agreed."""
        for one in (STOPPED, CHECK):
            back = void(one, author="u-verrill", role="surgeon", key="k2")
            assert theatre_of(*READY, one, back) == theatre_of(*READY, one)

    def test_of_a_cancelled_order_nothing_is_left(self) -> None:
        """Without an order that stands there is no theatre."""
        assert theatre_of(*READY, CHECK, SECOND, cancelled(ORDER)) is None


class TestListed:
    """The desk's list of a day."""

    def test_the_newest_day(self) -> None:
        """Moved by somebody else of the desk, who names the older record."""
        first = listed()
        moved = listed("2026-11-27", {**DESK, "author": "u-crake"}, replaces=first["id"],
                       reason="The surgeon is away")  # fmt: skip
        assert theatre_of(*READY, first)["listed"]["operate_on"] == DAY
        assert theatre_of(*READY, first, moved)["listed"]["operate_on"] == "2026-11-27"

    def test_taken_off_by_the_desk_alone(self) -> None:
        """Somebody else of the desk may, somebody in another role may not."""
        first = listed()
        by_desk = void(first, author="u-crake", role="desk", key="desk")
        by_camp = void(first, role="optometrist")
        assert theatre_of(*READY, first, by_desk)["listed"] is None
        assert theatre_of(*READY, first, by_camp)["listed"] is not None

    def test_an_eye_without_a_released_box_is_not_ready(self) -> None:
        """It says why."""
        found = theatre_of(*ARRIVED, listed())
        assert (found["ready"], found["text"][:9]) == (0, "Not ready")


def surgery(**changed: object) -> Entry:
    """Return the surgery of the checked lens, parts changed by name."""
    given = {
        "operated": DAY, "serial": "ser 9", "order": ORDER["id"], "theatre_check": CHECK["id"],
        "unchecked_reason": None, **changed,
    }  # fmt: skip
    return implanted("R", LENS, **given)


class TestSurgery:
    """I21: implanted only after a check of the same serial on the same day, or it is said."""

    def test_with_its_check(self) -> None:
        """Nothing is said, and the eye is implanted."""
        entries = [*READY, CHECK, SECOND, surgery()]
        assert codes(*entries) == []
        assert eye_of(entries)["surgeries"][0]["unchecked"] is None

    @pytest.mark.parametrize(
        ("more", "changed", "field"),
        [
            ([CHECK, SECOND], {"theatre_check": None}, None),
            ([CHECK, SECOND], {"theatre_check": None, "unchecked_reason": "No tablet here"}, None),
            ([CHECK], {}, None),
            ([], {}, "theatre_check"),
            ([CHECK, SECOND], {"operated": "2026-11-26"}, "operated"),
            ([CHECK, SECOND], {"order": "f" * 64}, "order"),
            ([CHECK, SECOND], {"serial": None}, "serial"),
            ([STOPPED], {"theatre_check": STOPPED["id"]}, "theatre_check"),
        ],
        ids=["none", "a reason", "one person", "not here", "another day", "another order",
             "no serial", "one that stopped"],
    )  # fmt: skip
    def test_without_a_check_that_holds(
        self, more: list[Entry], changed: dict[str, Any], field: str | None
    ) -> None:
        """It is recorded all the same, and it is said from then on."""
        entries = [*READY, *more, surgery(**changed)]
        found = eye_of(entries)
        assert found["state"] == "implanted"
        assert found["surgeries"][0]["unchecked"]["field"] == field
        stopped = ["theatre.after_stop"] if STOPPED in more else []
        expected = [*stopped, "theatre.unchecked"] if changed.get("order") is None else []
        assert [code for code in codes(*entries) if code != "theatre.stopped"] == expected

    @pytest.mark.parametrize(
        ("more", "changed"),
        [
            ([STOPPED], {}),
            ([STOPPED], {"theatre_check": None}),
            ([box_check(outcome="differs", sphere_cD=-900)], {}),
        ],
        ids=["stopped in theatre", "stopped, no check named", "a box that differed"],
    )
    def test_although_it_was_stopped(self, more: list[Entry], changed: dict[str, Any]) -> None:
        """A surgery uses the order up, and the stop with it; so it is said of the surgery (I21)."""
        history = [*READY, CHECK, SECOND, *more]
        assert codes(*history, surgery(**changed)) == ["theatre.after_stop", "theatre.unchecked"]

    @pytest.mark.parametrize(
        ("more", "said"),
        [
            ([cancelled(ORDER)], True),
            ([late_answer(ORDER, "cancel", LATE)], True),
            ([late_answer(ORDER, "plan_again", LATE)], True),
            ([late_answer(ORDER, "keep", LATE)], False),
            ([late_answer(ORDER, "cancel", LATE, role="optometrist")], False),
            ([late_answer(BOX, "cancel", LATE)], False),
        ],
        ids=["cancelled", "not implanted", "planned again", "kept", "no surgeon", "another order"],
    )
    @pytest.mark.parametrize("checked", [True, False], ids=["checked", "unchecked"])
    def test_although_it_was_not_to_be(self, more: list[Entry], said: bool, checked: bool) -> None:
        """I1, I21: two people checked it on a tablet that had not heard; the surgery uses it up."""
        history = [*READY, CHECK, SECOND, LATE, *more]
        done = surgery() if checked else surgery(theatre_check=None, unchecked_reason="No tablet")
        expected = ["theatre.not_to_be"] if said else []
        others = ("theatre.unchecked", "theatre.unanswered")
        assert [one for one in codes(*history, done) if one not in others] == expected

    @pytest.mark.parametrize(
        ("wall", "said"), [(f"{DAY}T20:00:00.000Z", False), (AFTER, True)], ids=["before", "after"]
    )
    def test_an_answer_that_was_taken_back(self, wall: str, said: bool) -> None:
        """By the day of surgery it says nothing any more; later it hides nothing."""
        no = late_answer(ORDER, "cancel", LATE)
        back = records.record("plan.withdrawal", {"target": no["id"]}, "R", reason="A slip",
                              **{**OTHER_SURGEON, "seq": 44, "wall": wall})  # fmt: skip
        found = codes(*READY, CHECK, SECOND, LATE, no, back, surgery())
        assert ("theatre.not_to_be" in found) == said

    @pytest.mark.parametrize(
        ("serial", "said"), [("ser 9", True), ("SER9", True), ("SER8", False), (None, False)]
    )
    def test_although_it_was_not_to_be_and_its_order_is_left_out(
        self, serial: str | None, said: bool
    ) -> None:
        """The number of its box tells which order that was; leaving the order out hides nothing."""
        done = surgery(order=None, approval=None, serial=serial)
        found = codes(*READY, CHECK, SECOND, cancelled(ORDER), done)
        assert ("theatre.not_to_be" in found) == said

    @pytest.mark.parametrize(
        ("more", "said"),
        [
            ([LATE], True),
            ([LATE, late_answer(ORDER, "keep", LATE)], False),
            ([LATE, late_answer(ORDER, "cancel", LATE)], False),
            ([LATE, late_answer(ORDER, "keep", BOX)], True),
            ([LATE, late_answer(ORDER, "keep", LATE, role="optometrist")], True),
            ([LATE, late_answer(BOX, "keep", LATE)], True),
            ([LATE, void(LATE)], False),
            ([{**LATE, "payload": {**LATE["payload"], "eye": "L"}}], False),  # type: ignore[dict-item]
            ([{**LATE, "payload": {**LATE["payload"], "wall": AFTER}}], False),  # type: ignore[dict-item]
        ],
        ids=["unanswered", "kept", "answered, no", "something else seen", "no surgeon",
             "another order", "withdrawn", "the other eye", "after the day"],
    )  # fmt: skip
    def test_while_something_was_unanswered(self, more: list[Entry], said: bool) -> None:
        """H23, I14: a tablet had not heard of it, and the surgery uses the order up."""
        found = codes(*READY, CHECK, SECOND, *more, surgery())
        assert ("theatre.unanswered" in found) == said

    def test_a_check_from_before_the_stop(self) -> None:
        """The box was checked again and released; theatre has to check it again too."""
        history = [*READY, CHECK, SECOND, STOPPED, AGAIN]
        assert codes(*history, surgery()) == ["theatre.unchecked"]
        anew = check(AGAIN)
        done = surgery(theatre_check=anew["id"])
        assert codes(*history, anew, confirmed(anew), done) == []

    def test_a_check_needs_its_order_and_its_own_day(self) -> None:
        """No order named leaves it live; a tablet's calendar may not be a month off its clock."""
        assert (
            eye_of([*READY, CHECK, SECOND, surgery(order=None)])["surgeries"][0]["unchecked"][
                "field"
            ]
            == "order"
        )
        later = check(BOX, device_day="2026-12-20")
        done = surgery(operated="2026-12-20", theatre_check=later["id"])
        found = eye_of([*READY, later, confirmed(later), done])["surgeries"][0]
        assert found["unchecked"]["field"] == "operated"

    @pytest.mark.parametrize("of", [CHECK, SECOND], ids=["check", "confirmation"])
    def test_a_key_in_other_hands_lets_no_lens_go_on(self, of: Entry) -> None:
        """Signed after the phone may have been stolen: it counts as not made (common practice)."""
        key = of["payload"]["key"]  # type: ignore[index]
        stolen = {"id": "a" * 64, "key": key, "suspected_since": "2026-11-25T08:00:00.000Z"}
        there = {**records.REFERENCE, "revoked_keys": [stolen]}
        found = eye_of([*READY, CHECK, SECOND], reference=there)["theatre"]
        assert (found["check"] is None) == (of is CHECK)
        assert found["confirmed"] is None
        done = eye_of([*READY, CHECK, SECOND, surgery()], reference=there)["surgeries"][0]
        said = "key in other hands" if of is CHECK else "No second person confirmed"
        assert said in done["unchecked"]["text"]

    def test_another_lens_than_was_released(self) -> None:
        """A serial number that is that of no released box is a stop."""
        assert codes(*READY, CHECK, SECOND, surgery(serial="SER8")) == [
            "theatre.other_lens", "theatre.unchecked",
        ]  # fmt: skip

    def test_older_records_and_eyes_without_a_box(self) -> None:
        """No box was released for it: nothing is said of what could not be checked."""
        assert codes(*ARRIVED, implanted("R", LENS, operated=DAY)) == []
        assert codes(*READY, implanted("R", LENS, operated="2026-10-20")) == []

    def test_a_surgery_that_names_no_order_is_held_against_the_box_that_was_there(self) -> None:
        """Leaving the order out is no way round the check."""
        named = surgery(order=None, theatre_check=None)
        assert codes(*READY, named) == ["theatre.unchecked"]

    def test_a_tablet_that_did_not_say_its_day(self) -> None:
        """The day of UTC may be a day off the calendar of the place, not two."""
        one = check(BOX, device_day=None)
        for day, said in (("2026-11-26", []), ("2026-11-27", ["theatre.unchecked"])):
            done = surgery(operated=day, theatre_check=one["id"])
            assert codes(*READY, one, confirmed(one), done) == said


def test_the_timeline_says_what_happened() -> None:
    """One line each."""
    lines = [one["text"] for one in eye_of([*READY, listed(), CHECK, SECOND, STOPPED])["timeline"]]
    assert "On the list of 25 Nov 2026" in lines
    assert "Checked in theatre: it is the released lens" in lines
    assert "Checked in theatre: not implanted. Opened upside down." in lines
    assert "Confirmed in theatre by a second person" in lines


def test_another_surgeon_may_be_the_second_person() -> None:
    """Two surgeons are two people."""
    second = confirmed(CHECK, OTHER_SURGEON)
    assert theatre_of(*READY, CHECK, second)["confirmed"]["id"] == second["id"]


def test_the_lens_of_an_exchange_goes_the_same_way() -> None:
    """Its own box and check; nothing is said of the first lens, which no such box was there for."""
    entries = operated()
    old = next(one for one in entries if one["payload"]["kind"] == "surgery.implanted")  # type: ignore[index]
    made = second_cycle.decision(entries)
    order = decided.ordered(made)
    lens = order["payload"]["body"]["lens"]  # type: ignore[index]
    traced = {"lot": "LOT7", "serial": "TI-70099", "expiry_date": "2031-02-28"}
    changed = {"order": order["id"], "first": {**lens, **traced}}
    box = {**BOX["payload"]["body"], **changed}  # type: ignore[index]
    label = records.record("label.checked", box, "R", **DESK)
    entries += [made, order, received(order), label]
    found = second_cycle.eye_of(entries)
    assert (found["state"], found["theatre"]["ready"]) == ("verified", 1)
    trace = {"code": None, "trace": traced, "second_trace": traced, "device_day": "2026-12-10"}
    then = {**SURGEON_THERE, "wall": "2026-12-10T09:00:00.000Z"}
    one = check(label, then, order=order["id"], **trace)
    second = confirmed(one)
    assert second_cycle.eye_of([*entries, one, second])["theatre"]["confirmed"] is not None
    for named, expected in ((one["id"], []), (None, ["theatre.unchecked"])):
        done = second_cycle.exchanged(old, order, theatre_check=named, unchecked_reason=None)
        fold = second_cycle.eye_of([*entries, one, second, done])
        told = [each["code"] for each in fold["findings"] if each["cause"] == "theatre"]
        assert (fold["state"], told) == ("implanted", expected)
