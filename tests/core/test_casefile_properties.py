"""What holds for every history of an eye: order, duplicates, and that nothing worse is milder."""

import json
from random import Random
from typing import Any

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from tests.core import records
from tests.core.decided import (
    OTHER_SURGEON,
    SURGEON,
    answered,
    approval,
    ask,
    cancelled,
    confirmed,
    decline,
    ordered,
    question,
    received,
    sent,
    shipped,
    taken_back,
    void,
)
from tests.core_runtime import Core

Entry = records.Entry
EYE = records.whole_eye()
REQUEST = sent(EYE)
APPROVAL = approval(EYE, REQUEST)
OTHER_LENS = {**APPROVAL["payload"]["body"]["shown"]["lens"], "sphere_cD": -1000}  # type: ignore[index]
OTHER_SHOWN = {**APPROVAL["payload"]["body"]["shown"], "lens": OTHER_LENS}  # type: ignore[index]
OTHER = approval(EYE, REQUEST, OTHER_SURGEON, shown=OTHER_SHOWN)
QUESTION, ORDER = question(REQUEST, OTHER_SURGEON), ordered(APPROVAL)
AGREED = confirmed(ORDER)
LONGER = confirmed(ORDER, lens={"length_um": 13200})
PUT_RIGHT = confirmed(ORDER, corrects=[LONGER["id"]], correction="supplier")
WIDTH = records.find(EYE, "reading.white_to_white")
CORRECTION = records.reading(
    "reading.white_to_white", diameter_um=11700, replaces=WIDTH["id"], reason="slip", seq=9
)
# Everything that can happen to the eye after it was measured.
EVENTS = [
    REQUEST,
    APPROVAL,
    OTHER,
    QUESTION,
    answered(QUESTION),
    decline(REQUEST, OTHER_SURGEON),
    taken_back(APPROVAL),
    taken_back(OTHER, OTHER_SURGEON),
    ORDER,
    cancelled(ORDER),
    CORRECTION,
    void(CORRECTION),
    void(WIDTH, seq=71),
    records.reading("reading.white_to_white", diameter_um=11930, seq=10),
    sent(EYE, seq=60),
    AGREED,
    LONGER,
    PUT_RIGHT,
    shipped(ORDER),
    received(ORDER),
]


def folded(entries: list[Entry]) -> dict[str, Any]:
    """Return the case file."""
    answer: dict[str, Any] = ask(records.fold_request(entries))
    assert "error" not in answer, answer
    return answer


histories = st.lists(st.sampled_from(EVENTS), max_size=8, unique_by=lambda entry: entry["id"])


class TestFold:
    """The fold is a function of the set of records."""

    @settings(max_examples=120, deadline=None)
    @given(histories, st.randoms(use_true_random=False), st.data())
    def test_order_and_duplicates_do_not_matter(
        self,
        history: list[Entry],
        rng: Random,
        data: st.DataObject,
    ) -> None:
        """Shuffled, and with copies, the same file (I5, I6)."""
        entries = [*EYE, *history]
        expected = folded(entries)
        event(expected["eyes"]["R"]["state"])
        copies = data.draw(st.lists(st.sampled_from(entries), max_size=5))
        shuffled = [*entries, *copies]
        rng.shuffle(shuffled)
        assert folded(shuffled) == expected

    def test_every_state_can_be_reached(self) -> None:
        """The events drawn above can bring about each of the states."""
        for history, state in (
            ([], "ready"),
            ([REQUEST], "queued"),
            ([REQUEST, QUESTION], "returned"),
            ([REQUEST, APPROVAL], "approved"),
            ([REQUEST, APPROVAL, EVENTS[13]], "stale"),
            ([REQUEST, APPROVAL, OTHER], "conflict"),
            ([REQUEST, APPROVAL, ORDER], "ordered"),
            ([REQUEST, APPROVAL, ORDER, LONGER], "ordered"),
            ([REQUEST, APPROVAL, ORDER, AGREED], "confirmed"),
            ([REQUEST, APPROVAL, ORDER, LONGER, PUT_RIGHT], "confirmed"),
            ([REQUEST, APPROVAL, ORDER, received(ORDER)], "received"),
            ([REQUEST, APPROVAL, ORDER, cancelled(ORDER)], "cancelled"),
            ([REQUEST, decline(REQUEST, OTHER_SURGEON)], "declined"),
            ([void(WIDTH, seq=71)], "measuring"),
        ):
            assert folded([*EYE, *history])["eyes"]["R"]["state"] == state

    @settings(max_examples=40, deadline=None)
    @given(histories)
    def test_server_numbers_decide_nothing(self, history: list[Entry]) -> None:
        """A phone without receipts sees the state that the base sees (I23)."""
        entries = [*EYE, *history]
        numbered = [{**entry, "received": 100 - place} for place, entry in enumerate(entries)]
        here, there = folded(entries)["eyes"]["R"], folded(numbered)["eyes"]["R"]
        for name in ("state", "state_why", "evidence", "findings", "missing"):
            assert here[name] == there[name]

    @settings(max_examples=80, deadline=None)
    @given(histories)
    def test_an_approval_stands_only_on_what_is_there(self, history: list[Entry]) -> None:
        """Approved means: current evidence, a surgeon, no open question (I3, I4, I7, I14)."""
        right = folded([*EYE, *history])["eyes"]["R"]
        for one in right["approvals"]:
            if one["live"]:
                assert one["shown"]["evidence"] == right["evidence"]
                assert one["author"] in (SURGEON["author"], OTHER_SURGEON["author"])
        if right["state"] == "approved":
            lenses = {json.dumps(a["shown"]["lens"]) for a in right["approvals"] if a["live"]}
            assert len(lenses) == 1
            assert right["order"] is None or right["order"]["live"] == 0

    @settings(max_examples=12, deadline=None)
    @given(histories)
    def test_both_pythons(self, browser_core: Core, history: list[Entry]) -> None:
        """Equal in the browser's Python."""
        asked = records.fold_request([*EYE, *history])
        there = json.loads(browser_core("door", "call", json.dumps(asked))["value"])
        assert there == ask(asked)


# The same for the readings that a plan can do without.
WORSE_FURTHER = (
    ("tomography", "kmax_cD", +1, 4300, 5500, "D09"),
    ("tomography", "is_cD", +1, -300, 400, "D09"),
    ("endothelial_mosaic", "cv_percent", +1, 20, 80, "D06"),
    ("endothelial_mosaic", "hexagonal_percent", -1, 10, 80, "D06"),
    ("lens_thickness", "thickness_um", +1, 3000, 5000, "D33"),
    ("cycloplegic_refraction", "sphere_cD", +1, -1000, -600, "D26"),
    ("auto_refraction", "sphere_cD", +1, -900, -600, "D25"),
    ("auto_refraction", "sphere_cD", -1, -1200, -900, "D25"),
    ("earlier_refraction", "sphere_cD", +1, -900, -600, "D02"),
)
# A map and a refraction of a year ago, with which a doubtful cornea is weighed more mildly.
YEAR_AGO = [
    records.reading("reading.tomography", taken="2025-11-01T08:00:00.000Z", seq=40),
    records.reading("reading.earlier_refraction", seq=41),
]

LEVELS = {"note": 1, "caution": 2, "stop": 3}
# Field -> reading, direction in which it gets worse, lowest and highest value drawn, rule.
WORSE = (
    ("chamber_depth", "depth_um", -1, 1500, 4000, "D03"),
    ("angle", "grade", -1, 0, 4, "D05"),
    ("endothelial_count", "ecd_pmm2", -1, 300, 4000, "D06"),
    ("pupil", "diameter_um", +1, 3000, 9000, "D07"),
    ("pressure", "iop_dmmHg", +1, 50, 500, "D08"),
    ("corneal_thickness", "thickness_um", -1, 300, 700, "D09"),
    ("keratometry", "steep_cD", +1, 4260, 6000, "D10"),
    ("white_to_white", "diameter_um", +1, 11600, 15000, "D13"),
    ("white_to_white", "diameter_um", -1, 9000, 11600, "D13"),
    ("acuity", "logmar_c", +1, -30, 200, "D29"),
)


def level(rule: str, entries: list[Entry]) -> int:
    """Return how loud a rule is: 0 silent to 3 stop."""
    found = ask(records.plan_request(entries))["findings"]
    return max([LEVELS[one["level"]] for one in found if one["rule"] == rule], default=0)


class TestMonotoneSafety:
    """A worse input never gives a milder finding."""

    @pytest.mark.parametrize("what", WORSE, ids=lambda what: f"{what[0]} {what[2]:+d}")
    def test_along_the_whole_range(self, what: tuple[Any, ...]) -> None:
        """Step by step from the best value to the worst: never milder, and louder in the end."""
        kind, field, direction, low, high, rule = what
        values = list(range(low, high + 1, max(1, (high - low) // 40)))[::direction]
        levels = [level(rule, records.whole_eye(**{kind: {field: value}})) for value in values]
        assert levels == sorted(levels)
        assert levels[0] < levels[-1]

    @settings(max_examples=200, deadline=None)
    @given(st.sampled_from(WORSE), st.data())
    def test_worse_is_never_milder(self, what: tuple[Any, ...], data: st.DataObject) -> None:
        """Two values of one reading: the worse one is at least as loud."""
        kind, field, direction, low, high, rule = what
        values = sorted([data.draw(st.integers(low, high)), data.draw(st.integers(low, high))])
        better, worse = values if direction > 0 else values[::-1]
        mild = level(rule, records.whole_eye(**{kind: {field: better}}))
        loud = level(rule, records.whole_eye(**{kind: {field: worse}}))
        assert loud >= mild

    @settings(max_examples=200, deadline=None)
    @given(st.sampled_from(WORSE_FURTHER), st.booleans(), st.data())
    def test_worse_further_readings(
        self, what: tuple[Any, ...], year: bool, data: st.DataObject
    ) -> None:
        """The same for readings that a plan can do without, with and without a year's history."""
        kind, field, direction, low, high, rule = what
        values = sorted([data.draw(st.integers(low, high)), data.draw(st.integers(low, high))])
        better, worse = values if direction > 0 else values[::-1]
        iris = records.reading("reading.iris_profile", profile="concave", seq=42)
        before = YEAR_AGO if year and kind != "earlier_refraction" else []

        def loud(value: int) -> int:
            given_ = records.reading("reading." + kind, seq=43, **{field: value})
            return level(rule, [*records.whole_eye(), iris, *before, given_])

        assert loud(worse) >= loud(better)

    @settings(max_examples=60, deadline=None)
    @given(st.integers(-1100, -700))
    def test_confirming_a_change_is_never_milder(self, sphere: int) -> None:
        """A repeat that shows the same change makes the finding louder, or leaves it."""
        before = records.reading("reading.earlier_refraction", seq=41)
        once = [*records.whole_eye(refraction={"sphere_cD": sphere}), before]
        again = records.reading("reading.refraction", sphere_cD=sphere, seq=44)
        assert level("D02", [*once, again]) >= level("D02", once)

    @settings(max_examples=60, deadline=None)
    @given(st.integers(0, 60), st.integers(0, 60), st.sampled_from(["soft", "rigid", None]))
    def test_fewer_days_without_lenses(self, one: int, other: int, type_: str | None) -> None:
        """Fewer days out are never judged milder, unknown days least of all."""

        def loud(days: int | None) -> int:
            entries = records.whole_eye()
            entries[1] = records.answers(
                contact_lenses="yes", contact_lens_type=type_, contact_lens_days_out=days
            )
            return level("D27", entries)

        assert loud(min(one, other)) >= loud(max(one, other))
        assert loud(None) >= loud(one)

    def test_not_asked_is_never_milder_than_an_answer(self) -> None:
        """A question nobody asked is a fixed stop, whatever the answer would have been (H21)."""
        for name in ("stable_12_months", "pregnant_or_nursing", "eye_disease", "contact_lenses"):
            entries = records.whole_eye()
            entries[1] = records.answers(**{name: "not_asked"})
            found = ask(records.plan_request(entries))["findings"]
            assert [f["fixed"] for f in found if f["code"] == "H21." + name] == [1]

    @settings(max_examples=60, deadline=None)
    @given(st.integers(1950, 2010), st.integers(300, 3500))
    def test_a_year_alone_is_judged_by_the_worse_age(self, year: int, cells: int) -> None:
        """Knowing less about the birth date never makes a finding milder."""
        eye = records.whole_eye(endothelial_count={"ecd_pmm2": cells})

        def loud(rule: str, **born: object) -> int:
            return level(rule, [records.person(**born), *eye[1:]])

        for rule in ("D01", "D06"):
            unknown = loud(rule, birth_date=None, birth_year=year)
            known = [loud(rule, birth_date=f"{year}-{day}") for day in ("01-01", "12-31")]
            assert unknown >= max(known)
