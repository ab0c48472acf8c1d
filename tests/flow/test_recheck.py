"""Plans computed again: one unit of rounding is forgiven, anything else stops the case."""

import copy
from typing import Any

import pytest

from tests.hospital import CATALOGUE, WALL, Hospital, Phone, plan_of
from webapp.flow import casefile, clock, recheck, reference, status
from webapp.records.envelope import digest_of
from webapp.records.kinds_table import SHAPES

JUDGED_APART = {"predicted", "findings"}
"""What a plan's figures and findings are compared by is not plain equality."""


@pytest.fixture
def camp(hospital: Hospital) -> Phone:
    """Return a camp phone of a hospital with a catalogue and limits."""
    hospital.adopt_reference()
    return hospital.phone()


def sent(camp: Phone, change: Any = None) -> tuple[str, str]:  # noqa: ANN401 - any edit of a plan
    """Send a right eye, its plan edited as by a faulty phone; return person and request."""
    person = camp.register()
    camp.measure(person, "R")
    shown = copy.deepcopy(plan_of(person, "R")["shown"])
    if change:
        change(shown)
    body = {"shown": shown, "digest": digest_of(shown)}
    return person, camp.keep("plan.request", person, "R", body)


def check(hospital: Hospital, record: str) -> tuple[str, str]:
    """Return result and text as a phone is told."""
    (line,) = [line for line in status.checks(hospital.actor("ambler")) if line.id == record]
    return line.result, line.text


class TestAgrees:
    """A plan that this server reproduces."""

    def test_the_same(self, hospital: Hospital, camp: Phone) -> None:
        """Same records, same core, same result."""
        _, request = sent(camp)
        assert check(hospital, request)[0] == "agrees"

    def test_one_unit_of_the_last_digit(self, hospital: Hospital, camp: Phone) -> None:
        """Two engines may round a half differently."""
        _, request = sent(camp, lambda shown: _raise(shown, "mean_um", 1))
        assert check(hospital, request)[0] == "agrees"

    def test_after_newer_readings_and_limits(self, hospital: Hospital, camp: Phone) -> None:
        """The plan is judged on what it names, not on what came later."""
        person, request = sent(camp)
        camp.measure(person, "R")
        reference.adopt(
            hospital.actor("rook"), "catalogue.adopted", {**CATALOGUE, "title": "Newer"}
        )
        assert check(hospital, request)[0] == "agrees"

    def test_on_a_later_day(
        self, hospital: Hospital, camp: Phone, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Ages of readings are judged by the day the plan names."""
        _, request = sent(camp)
        monkeypatch.setattr(clock, "today", lambda: "2031-01-01")
        assert check(hospital, request)[0] == "agrees"

    def test_with_a_target_and_a_planned_change(self, hospital: Hospital, camp: Phone) -> None:
        """What the surgeon aimed at is aimed at here too."""
        person = camp.register()
        camp.measure(person, "R")
        target = {"sphere_cD": -50, "cylinder_cD": 0, "axis_deg": None}
        change = {"flattening_cD": 40, "meridian_deg": 180}
        shown = plan_of(person, "R", target=target, surgical_change=change)["shown"]
        assert (shown["target"], shown["surgical_change"]) == (target, change)
        body = {"shown": shown, "digest": digest_of(shown)}
        request = camp.keep("plan.request", person, "R", body)
        assert check(hospital, request)[0] == "agrees"

    def test_from_before_there_were_aims(self, hospital: Hospital, camp: Phone) -> None:
        """A plan that lacks the two fields is one without aims."""

        def older(shown: dict[str, Any]) -> None:
            del shown["target"], shown["surgical_change"]

        _, request = sent(camp, older)
        assert check(hospital, request)[0] == "agrees"

    def test_pressures_that_differ_between_the_eyes(self, hospital: Hospital, camp: Phone) -> None:
        """The fellow eye is no evidence of a plan, so what it raised is not compared."""
        person = camp.register()
        camp.measure(person, "R")
        reading = {"iop_dmmHg": 210, "device": "T", "taken": WALL, "typed": {}}
        camp.keep("reading.pressure", person, "L", reading)
        shown = plan_of(person, "R")["shown"]
        assert "D08.eyes" in [one["code"] for one in shown["findings"]]
        body = {"shown": shown, "digest": digest_of(shown)}
        request = camp.keep("plan.request", person, "R", body)
        assert check(hospital, request)[0] == "agrees"


class TestDiffers:
    """A plan that this server does not reproduce."""

    @pytest.mark.parametrize(
        ("name", "change"),
        [
            ("predicted mean_um", lambda shown: _raise(shown, "mean_um", 2)),
            ("predicted sphere_cD", lambda shown: _raise(shown, "sphere_cD", -25)),
            ("inputs", lambda shown: shown["inputs"].update(chamber_depth_um=3400)),
            ("findings or lens", lambda shown: shown["findings"].clear()),
        ],
    )  # fmt: skip
    def test_is_said(self, hospital: Hospital, camp: Phone, name: str, change: Any) -> None:  # noqa: ANN401
        """Each edit alone is noticed, and the case file tells the desk."""
        person, request = sent(camp, change)
        result, text = check(hospital, request)
        assert result == "differs", name
        assert text.startswith("Computed again here, these differ: ")
        file = casefile.person_file(hospital.actor("fenn"), person)
        assert not file.checks[request].is_good

    def test_a_lens_that_does_not_exist(self, hospital: Hospital, camp: Phone) -> None:
        """A lens outside the catalogue is not reproduced."""
        _, request = sent(camp, lambda shown: shown["lens"].update(length_um=12250))
        assert check(hospital, request)[0] == "differs"


class TestDifferences:
    """Comparing two plans, value by value."""

    def test_findings_about_the_fellow_eye_are_left_out(self) -> None:
        """They rest on the other eye's records, which this plan does not name."""
        here = {"predicted": {}, "findings": []}
        there = {"predicted": {}, "findings": [{"code": "D15.pupil", "level": "caution"}]}
        assert recheck.differences(there, here) == []

    @pytest.mark.parametrize("name", sorted(SHAPES["shown"].fields.keys() - JUDGED_APART))
    def test_any_other_part_must_be_equal(self, name: str) -> None:
        """The lens, the evidence, the limits and the rest: no rounding is forgiven there."""
        same: dict[str, Any] = {"predicted": {}, "findings": []}
        assert recheck.differences({**same, name: 1}, {**same, name: 2}) == [name]
        assert recheck.differences({**same, name: 1}, same) == [name]

    def test_a_milder_finding_is_a_difference(self) -> None:
        """The same rule at another level is not the same finding."""
        here = {"predicted": {}, "findings": [{"code": "D03.depth", "level": "stop"}]}
        there = {"predicted": {}, "findings": [{"code": "D03.depth", "level": "caution"}]}
        assert recheck.differences(there, here) == [
            "finding D03.depth (caution)", "finding D03.depth (stop)",
        ]  # fmt: skip

    def test_a_missing_figure_is_a_difference(self) -> None:
        """No axis and an axis are not the same within rounding."""
        here = {"predicted": {"axis_deg": None}, "findings": []}
        there = {"predicted": {"axis_deg": 1}, "findings": []}
        assert recheck.differences(there, here) == ["predicted axis_deg"]


def _raise(shown: dict[str, Any], name: str, by: int) -> None:
    shown["predicted"][name] += by
