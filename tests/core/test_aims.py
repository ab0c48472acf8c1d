"""Target and planned change of the cornea: what is aimed at, scored against, and signed."""

import json
from typing import Any

import pytest

from tests.core import records
from tests.core.decided import approval, eye_of, sent
from tests.core_runtime import Core, in_cpython

Plan = dict[str, Any]
LESS_MINUS = {"sphere_cD": -50, "cylinder_cD": 0, "axis_deg": None}
FLATTER = {"flattening_cD": 40, "meridian_deg": 180}


def answer(core: Core, **more: object) -> Plan:
    """Return the door's answer for a plan of the plain eye."""
    asked = json.dumps(records.plan_request(records.whole_eye(), **more))
    found: Plan = json.loads(core("door", "call", asked)["value"])
    return found


def exact(core: Core, **more: object) -> tuple[int, int, int]:
    """Return sphere, cylinder [cD] and axis [deg] of the exact lens at a vault of 500 um."""
    lens = answer(core, **more)["lengths"][2]["exact"]
    return lens["sphere_cD"], lens["cylinder_cD"], lens["axis_deg"]


def codes(plan: Plan) -> set[str]:
    """Return the codes of a plan's findings."""
    return {one["code"] for one in plan["findings"]}


class TestTarget:
    """The refraction to leave."""

    def test_half_a_dioptre_of_short_sight(self, core: Core) -> None:
        """-9.165 -2.441 x 14.79 leaves -0.50 D (worked by a matrix route)."""
        assert exact(core, target=LESS_MINUS) == pytest.approx((-916.5, -244.1, 15), abs=1)

    def test_lenses_are_scored_against_it(self, core: Core) -> None:
        """The first lens leaves about the target, and so does what is signed."""
        plan = answer(core, target=LESS_MINUS)
        left = plan["shown"]["predicted"]
        assert abs(left["sphere_cD"] + left["cylinder_cD"] / 2 + 50) <= 20
        assert plan["target"] == plan["shown"]["target"] == LESS_MINUS
        assert plan["assumptions"][0] == "Aim: \u22120.50 D sphere."
        assert "D30.ratio" not in codes(plan)

    def test_none_is_plano(self, core: Core) -> None:
        """No target and a target of plano are one plan, down to what is signed."""
        plano = {"sphere_cD": 0, "cylinder_cD": 0, "axis_deg": None}
        assert answer(core) == answer(core, target=None) == answer(core, target=plano)
        assert answer(core)["shown"]["target"] is None

    @pytest.mark.parametrize(("plus", "stops"), [(25, False), (26, True)])
    def test_never_long_sighted(self, core: Core, plus: int, stops: bool) -> None:
        """More than +0.25 D is never aimed at in a short-sighted eye (common practice)."""
        plan = answer(core, target={**LESS_MINUS, "sphere_cD": plus})
        assert ("target.long_sighted" in codes(plan)) is stops
        assert (plan["shown"] is None) is stops

    def test_mean_counts_not_the_sphere(self, core: Core) -> None:
        """+0.75 -1.00 has a mean of +0.25 D, +0.77 -1.00 one of +0.27 D."""
        for plus, stops in ((75, False), (77, True)):
            target = {"sphere_cD": plus, "cylinder_cD": -100, "axis_deg": 90}
            assert ("target.long_sighted" in codes(answer(core, target=target))) is stops

    def test_a_long_sighted_eye_may_keep_some(self, core: Core) -> None:
        """The rule is about short-sighted eyes."""
        plus = {"sphere_cD": 500, "cylinder_cD": 0, "axis_deg": None}
        asked = records.plan_request(
            records.whole_eye(refraction=plus), target={**LESS_MINUS, "sphere_cD": 50}
        )
        plan = json.loads(core("door", "call", json.dumps(asked))["value"])
        assert "target.long_sighted" not in codes(plan)


class TestSurgicalChange:
    """What the incision is expected to do to the cornea."""

    def test_worked_eye(self, core: Core) -> None:
        """0.40 D of flattening at 180 asks for -9.556 -2.887 x 12.35 (matrix route)."""
        assert exact(core, surgical_change=FLATTER) == pytest.approx((-955.6, -288.7, 12), abs=1)

    def test_is_signed_and_said(self, core: Core) -> None:
        """It stands in what is signed, and a caution says that no own eyes stand behind it."""
        plan = answer(core, surgical_change=FLATTER)
        assert plan["shown"]["surgical_change"] == plan["surgical_change"] == FLATTER
        caution = next(f for f in plan["findings"] if f["code"] == "surgical_change.own_eyes")
        assert caution["level"] == "caution"
        assert "30 are needed" in caution["text"]

    def test_without_one_the_plan_says_why(self, core: Core) -> None:
        """None is the default until a centre has 30 own eyes."""
        plan = answer(core)
        assert plan["surgical_change"] is None
        assert plan["assumptions"] == [
            "Aim: plano.", "No change of the cornea is planned for: that needs 30 own eyes.",
        ]  # fmt: skip


REFUSED = [
    ("target", {**LESS_MINUS, "sphere_cD": 301}, "target.sphere_cD"),
    ("target", {**LESS_MINUS, "sphere_cD": -0.5}, "target.sphere_cD"),
    ("target", {**LESS_MINUS, "sphere_cD": True}, "target.sphere_cD"),
    ("target", {"sphere_cD": 0}, "target.cylinder_cD"),
    ("target", {**LESS_MINUS, "cylinder_cD": -50}, "target.axis_deg"),
    ("target", {**LESS_MINUS, "cylinder_cD": -50, "axis_deg": 181}, "target.axis_deg"),
    ("target", {**LESS_MINUS, "axis_deg": 90}, "target.axis_deg"),
    ("target", "plano", "target.sphere_cD"),
    ("surgical_change", {**FLATTER, "flattening_cD": 0}, "surgical_change.flattening_cD"),
    ("surgical_change", {**FLATTER, "flattening_cD": 201}, "surgical_change.flattening_cD"),
    ("surgical_change", {**FLATTER, "meridian_deg": 0}, "surgical_change.meridian_deg"),
    ("surgical_change", {"flattening_cD": 40}, "surgical_change.meridian_deg"),
]


@pytest.mark.parametrize(("name", "value", "field"), REFUSED)
def test_what_cannot_be_meant_is_refused_by_field(
    core: Core, name: str, value: object, field: str
) -> None:
    """Out of range, no whole number, or a part missing: named, never put right in silence."""
    assert answer(core, **{name: value})["error"]["field"] == field


def test_both_pythons(browser_core: Core) -> None:
    """The same plan with both aims, word for word."""
    aims = {"target": LESS_MINUS, "surgical_change": FLATTER}
    assert answer(in_cpython, **aims) == answer(browser_core, **aims)


def test_an_approval_from_before_there_were_aims_stands() -> None:
    """A signed plan without the two fields is read as one without aims."""
    eye = records.whole_eye()
    request = sent(eye)
    shown = dict(request["payload"]["body"]["shown"])  # type: ignore[index]
    older = {name: shown[name] for name in shown if name not in ("target", "surgical_change")}
    signed = approval(eye, request, shown=older)
    assert eye_of([*eye, request, signed])["state"] == "approved"
