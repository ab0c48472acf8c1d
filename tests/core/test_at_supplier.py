"""An order at the supplier: confirmed field by field, shipped, received; nothing is taken over."""

import json
from copy import deepcopy
from itertools import permutations
from typing import Any

import pytest

from tests.core import records
from tests.core.decided import (
    DESK,
    approval,
    ask,
    cancelled,
    confirmed,
    eye_of,
    ordered,
    received,
    sent,
    shipped,
)
from tests.core_runtime import Core
from webapp.core import door

Entry = records.Entry
SECOND_DESK = {**DESK, "author": "u-gale", "wall": "2026-11-26T08:00:00.000Z"}
EYE = records.whole_eye()
REQUEST = sent(EYE)
APPROVAL = approval(EYE, REQUEST)
ORDER = ordered(APPROVAL)
ORDERED = [*EYE, REQUEST, APPROVAL, ORDER]
LENS = ORDER["payload"]["body"]["lens"]  # type: ignore[index]
AGREED = confirmed(ORDER)
LONGER = confirmed(ORDER, lens={"length_um": LENS["length_um"] + 500})
STOP = "decisions.supplier_differs"


def corrected(
    *wrong: Entry, by: dict[str, Any] = DESK, why: str = "supplier", **said: object
) -> Entry:
    """Return another confirmation, of just what was ordered, in the place of earlier ones."""
    corrects = sorted(str(one["id"]) for one in wrong)
    return confirmed(ORDER, by, corrects=corrects, correction=why, **said)


def named(reference: str) -> Entry:
    """Return the reference that the supplier gave before the confirmation."""
    body = {"order": ORDER["id"], "supplier_reference": reference}
    return records.record("order.referenced", body, "R", **DESK)


def stage(entries: list[Entry]) -> tuple[str, str]:
    """Return the state of the eye and how far its order is."""
    found = eye_of([*ORDERED, *entries])
    return found["state"], found["order"]["progress"]["stage"]


def differing(entries: list[Entry]) -> list[str]:
    """Return the fields in which the confirmations that stand differ from the order."""
    standing = eye_of([*ORDERED, *entries])["order"]["progress"]["confirmations"]
    return [row["field"] for one in standing for row in one["compared"] if not row["agrees"]]


class TestForwards:
    """Each step by a record of its own."""

    def test_every_step(self) -> None:
        """Placed, confirmed, shipped, received; the eye goes with it."""
        assert stage([]) == ("ordered", "placed")
        assert stage([AGREED]) == ("confirmed", "confirmed")
        assert stage([AGREED, shipped(ORDER)]) == ("confirmed", "shipped")
        assert stage([AGREED, shipped(ORDER), received(ORDER)]) == ("received", "received")

    def test_a_lens_that_comes_unannounced_is_here(self) -> None:
        """Some suppliers confirm nothing; the label is compared with the order in any case."""
        assert stage([shipped(ORDER)]) == ("ordered", "shipped")
        assert stage([received(ORDER)]) == ("received", "received")

    def test_in_any_order_of_arrival(self) -> None:
        """A confirmation that comes after the lens takes nothing back (I5)."""
        steps = [AGREED, shipped(ORDER), received(ORDER)]
        files = [eye_of([*ORDERED, *order]) for order in permutations(steps)]
        assert all(one == files[0] for one in files)
        assert files[0]["state"] == "received"

    def test_a_cancelled_order_stays_cancelled(self) -> None:
        """Whatever comes after it."""
        entries = [AGREED, cancelled(ORDER), received(ORDER)]
        assert stage(entries) == ("cancelled", "cancelled")
        progress = eye_of([*ORDERED, *entries])["order"]["progress"]
        assert progress["words"] == "Order SP-1 was cancelled."

    def test_of_another_order_it_moves_nothing(self) -> None:
        """Records are about the order that they name."""
        elsewhere = ordered(APPROVAL, "SP-9")
        assert stage([received(elsewhere)]) == ("ordered", "placed")

    def test_expected(self) -> None:
        """The day of the shipping counts before that of the confirmation."""
        entries = [*ORDERED, AGREED]
        assert eye_of(entries)["order"]["progress"]["expected_on"] == "2026-12-05"
        entries.append(shipped(ORDER, expected_on="2026-12-09"))
        assert eye_of(entries)["order"]["progress"]["expected_on"] == "2026-12-09"
        assert eye_of(entries)["state_why"] == (
            "Ordered, number SP-1, confirmed by the supplier, shipped 27 Nov 2026, "
            "expected 9 Dec 2026."
        )


class TestCompared:
    """Field by field with what was ordered."""

    @pytest.mark.parametrize(
        ("said", "field"),
        [
            ({"lens": {"model": "Model B-t"}}, "model"),
            ({"lens": {"sphere_cD": LENS["sphere_cD"] - 50}}, "sphere_cD"),
            ({"lens": {"sphere_cD": -LENS["sphere_cD"]}}, "sphere_cD"),
            ({"lens": {"cylinder_cD": LENS["cylinder_cD"] - 50, "axis_deg": 90}}, "cylinder_cD"),
            ({"lens": {"length_um": LENS["length_um"] + 500}}, "length_um"),
            ({"for_eye": "L"}, "for_eye"),
        ],
    )
    def test_one_field_that_differs_stops(self, said: dict[str, Any], field: str) -> None:
        """The order does not advance, even with the lens here; both values stand side by side."""
        wrong = confirmed(ORDER, **said)
        assert field in differing([wrong])
        assert stage([wrong]) == ("ordered", "differs")
        assert stage([wrong, shipped(ORDER), received(ORDER)]) == ("ordered", "differs")
        findings = eye_of([*ORDERED, wrong])["findings"]
        stop = next(one for one in findings if one["code"] == STOP)
        assert (stop["level"], stop["fixed"]) == ("stop", 1)
        assert stop["records"] == sorted([str(ORDER["id"]), str(wrong["id"])])

    def test_the_axis(self) -> None:
        """Of a toric lens, turned by five degrees."""
        toric = {**LENS, "cylinder_cD": -150, "axis_deg": 175}
        body = {**ORDER["payload"]["body"], "lens": toric}  # type: ignore[index]
        order = records.record("order.placed", body, "R", **DESK)
        turned = confirmed(order, lens={"axis_deg": 170})
        rows = eye_of([*EYE, REQUEST, APPROVAL, order, turned])["order"]["progress"]
        row = next(
            one for one in rows["confirmations"][0]["compared"] if one["field"] == "axis_deg"
        )
        assert (row["ordered"], row["confirmed"], row["agrees"]) == ("175°", "170°", 0)
        assert rows["stage"] == "differs"

    def test_the_reference_given_before(self) -> None:
        """Another one is another order of the supplier's; the first one is simply kept."""
        assert stage([named("R-77"), AGREED]) == ("confirmed", "confirmed")
        assert differing([named("R-78"), AGREED]) == ["reference"]
        assert stage([named("R-78"), AGREED])[1] == "differs"

    def test_what_agrees_raises_nothing(self) -> None:
        """No stop without a difference."""
        assert differing([AGREED]) == []
        assert STOP not in [one["code"] for one in eye_of([*ORDERED, AGREED])["findings"]]


class TestCorrected:
    """The only ways out: another confirmation, or cancelling."""

    def test_by_the_supplier(self) -> None:
        """The corrected confirmation names the one that differs."""
        assert stage([LONGER, corrected(LONGER)]) == ("confirmed", "confirmed")

    def test_a_second_one_that_names_nothing_does_not_help(self) -> None:
        """Both stand, and one of them differs."""
        assert stage([LONGER, confirmed(ORDER, SECOND_DESK)]) == ("ordered", "differs")

    def test_a_confirmation_that_agreed_and_was_changed(self) -> None:
        """The newer one counts, named by what it names and not by its time."""
        changed = corrected(AGREED, lens={"length_um": LENS["length_um"] + 500})
        assert stage([AGREED, changed]) == ("ordered", "differs")
        assert stage([AGREED, changed, corrected(changed)]) == ("confirmed", "confirmed")

    def test_a_slip_in_typing_is_put_right_by_somebody_else(self) -> None:
        """Whoever typed it cannot make a difference go away alone."""
        assert stage([LONGER, corrected(LONGER, why="typing")])[1] == "differs"
        by_another = corrected(LONGER, by=SECOND_DESK, why="typing")
        assert stage([LONGER, by_another])[1] == "confirmed"

    def test_cancelling(self) -> None:
        """The eye is then free, and no stop is left."""
        assert stage([LONGER, cancelled(ORDER)]) == ("cancelled", "cancelled")
        codes = [one["code"] for one in eye_of([*ORDERED, LONGER, cancelled(ORDER)])["findings"]]
        assert STOP not in codes


def test_a_box_is_not_released_while_another_lens_was_confirmed() -> None:
    """The label may agree with the order; what the supplier meant to send is not known then."""
    label = {**LENS, "serial": "SER9", "lot": "LOT7", "expiry_date": "2028-02-29"}
    body = {
        "order": ORDER["id"],
        "first": label,
        "outcome": "agrees",
        "seen": [],
        "second_person": "u-gale",
    }
    box = records.record("label.checked", body, "R", **DESK)
    assert eye_of([*ORDERED, AGREED, received(ORDER), box])["state"] == "verified"
    held = eye_of([*ORDERED, LONGER, received(ORDER), box])
    assert (held["state"], held["box"]["verified"]) == ("ordered", None)


def test_a_surgeon_is_asked_before_the_supplier() -> None:
    """A late record needs a surgeon; it stands before what the desk has to put right (H23)."""
    late = records.reading("reading.white_to_white", diameter_um=11650, seq=40)
    codes = [one["code"] for one in eye_of([*ORDERED, LONGER, late])["findings"]]
    of_decisions = [code for code in codes if code.startswith("decisions.")]
    assert of_decisions == ["decisions.late_evidence", STOP]


def test_both_pythons_agree(browser_core: Core) -> None:
    """The phone shows the order as the base does."""
    for entries in (
        [AGREED], [LONGER], [LONGER, corrected(LONGER), received(ORDER)],
        [named("R-1"), AGREED, shipped(ORDER)],
    ):  # fmt: skip
        asked = json.dumps(records.fold_request([*ORDERED, *entries]))
        there = browser_core("door", "call", asked)["value"]
        assert json.loads(there) == json.loads(door.call(asked))


class TestLate:
    """When the supplier has to be asked; placed on 25 November."""

    def late(self, entries: list[Entry], today: str, **limits: int) -> dict[str, Any] | None:
        """Return the reminder of the order."""
        adopted: Any = deepcopy(records.REFERENCE)
        adopted["limits"]["body"]["values"].update(limits)
        asked = records.fold_request([*ORDERED, *entries], today=today, reference=adopted)
        found: dict[str, Any] | None = ask(asked)["eyes"]["R"]["overdue"]
        return found

    @pytest.mark.parametrize(
        ("entries", "last_day", "first_day", "code"),
        [
            ([], "2026-12-02", "2026-12-03", "unconfirmed"),
            ([AGREED], "2026-12-05", "2026-12-06", "expected"),
            ([AGREED, shipped(ORDER, expected_on="2026-12-09")], "2026-12-09", "2026-12-10",
             "expected"),
            ([confirmed(ORDER, expected_on=None)], "2027-01-06", "2027-01-07", "undated"),
        ],
    )  # fmt: skip
    def test_from_the_day_after(
        self, entries: list[Entry], last_day: str, first_day: str, code: str
    ) -> None:
        """A week without a confirmation, six without a day, or the day after the one given."""
        assert self.late(entries, last_day) is None
        found = self.late(entries, first_day)
        assert found is not None
        assert (found["code"], found["order"]) == (code, ORDER["id"])
        assert "Do not order again" in found["do"]

    def test_by_the_limits(self) -> None:
        """The centre's own number of days."""
        assert self.late([], "2026-11-28") is None
        assert self.late([], "2026-11-28", order_confirm_days=2) is not None

    @pytest.mark.parametrize(
        "entries", [[received(ORDER)], [cancelled(ORDER)], [LONGER], [AGREED, received(ORDER)]]
    )
    def test_never_for_what_is_here_cancelled_or_stopped(self, entries: list[Entry]) -> None:
        """A stop says more than a reminder."""
        assert self.late(entries, "2028-01-01") is None
