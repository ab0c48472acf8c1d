"""One eye written in several ways is one eye: whole plans, through the door, in both Pythons.

Transposition, an eye and its mirror image, an axis and the same axis half a turn on. What each
formula does stands in ``test_optics.py`` and ``test_lens_power.py``; here nothing on the way from a
record to a recommended lens may read one form otherwise than the other.
"""

import json
import random
from typing import Any

import pytest

from tests.core import records
from tests.core_runtime import Core

SEEDS = range(8)
Body = dict[str, Any]


def drawn(seed: int) -> tuple[Body, Body]:
    """Return a refraction in minus cylinder and a cornea that fits it."""
    rng = random.Random(seed)  # noqa: S311 - repeatable, no secret
    axis_deg = rng.randint(1, 179)
    refraction = {
        "sphere_cD": -25 * rng.randint(12, 52), "cylinder_cD": -25 * rng.randint(2, 14),
        "axis_deg": axis_deg,
    }  # fmt: skip
    flat = 4150 + 25 * rng.randint(0, 12)
    steep_deg = (axis_deg + 90 + rng.randint(-12, 12) - 1) % 180 + 1
    cornea = {
        "flat_cD": flat, "steep_cD": flat - refraction["cylinder_cD"] + 25,
        "steep_meridian_deg": steep_deg,
    }  # fmt: skip
    return refraction, cornea


def planned(core: Core, refraction: Body, cornea: Body) -> dict[str, Any]:
    """Return the plan of a whole eye with this refraction and cornea."""
    entries = records.whole_eye(refraction=refraction, keratometry=cornea)
    answer = json.loads(core("door", "call", json.dumps(records.plan_request(entries)))["value"])
    assert answer["recommended"] is not None
    plan: dict[str, Any] = answer
    return plan


def promised(plan: dict[str, Any]) -> dict[str, Any]:
    """Return what a plan promises, without ids and the readings as they were typed."""
    names = ("lengths", "recommended", "moves", "measure_next", "best_by_loss_um", "sentence")
    said = {name: plan[name] for name in names}
    said["findings"] = [(one["code"], one["level"]) for one in plan["findings"]]
    return said


def transposed(refraction: Body) -> Body:
    """Return the same refraction in plus cylinder, by the rule of three steps."""
    return {
        "sphere_cD": refraction["sphere_cD"] + refraction["cylinder_cD"],
        "cylinder_cD": -refraction["cylinder_cD"],
        "axis_deg": (refraction["axis_deg"] + 89) % 180 + 1,
    }


def mirror_deg(axis_deg: int) -> int:
    """Return the mirror image of an axis, 1 to 180."""
    return (180 - axis_deg) % 180 or 180


@pytest.mark.parametrize("seed", SEEDS)
def test_transposed(core: Core, seed: int) -> None:
    """Plus cylinder and minus cylinder: every number, lens and finding is the same."""
    refraction, cornea = drawn(seed)
    minus = planned(core, refraction, cornea)
    assert promised(minus) == promised(planned(core, transposed(refraction), cornea))
    half_done = {**transposed(refraction), "axis_deg": refraction["axis_deg"]}
    assert promised(minus) != promised(planned(core, half_done, cornea))


@pytest.mark.parametrize("seed", SEEDS)
def test_mirrored(core: Core, seed: int) -> None:
    """The mirror image of an eye gets the mirror image of its lens, of the same chance and harm."""
    refraction, cornea = drawn(seed)
    plan = planned(core, refraction, cornea)
    image = planned(
        core,
        {**refraction, "axis_deg": mirror_deg(refraction["axis_deg"])},
        {**cornea, "steep_meridian_deg": mirror_deg(cornea["steep_meridian_deg"])},
    )
    lens, other = plan["recommended"], image["recommended"]
    for name in ("model", "sphere_cD", "cylinder_cD", "length_um"):
        assert lens[name] == other[name]
    if lens["cylinder_cD"]:
        # A step of one degree may fall on either side of an axis that lies between two.
        assert abs(mirror_deg(lens["axis_deg"]) - other["axis_deg"]) in (0, 1, 179)
    for name in ("best_by_loss_um", "best_by_probability_um", "moves", "measure_next"):
        assert plan[name] == image[name]
    for one, two in zip(plan["lengths"], image["lengths"], strict=True):
        assert (one["p_in_e4"], one["loss_um"]) == (two["p_in_e4"], two["loss_um"])
        assert one["exact"]["sphere_cD"] == two["exact"]["sphere_cD"]


@pytest.mark.parametrize("seed", SEEDS)
def test_half_a_turn_on(core: Core, seed: int) -> None:
    """Axis 0 is axis 180, and a lens turned by 180 degrees lies as it lay."""
    refraction, _ = drawn(seed)
    given = {
        "refraction": {"sphere_D": refraction["sphere_cD"] / 100.0,
                       "cylinder_D": refraction["cylinder_cD"] / 100.0, "axis_deg": 180},
        "vertex_mm": 12, "vault_um": 500,
        "keratometry": {"flat_D": 42.5, "steep_D": 44.5, "steep_meridian_deg": 180},
        "anterior_chamber": {"depth_mm": 3.05, "from": "endothelium", "cct_um": 520},
    }  # fmt: skip
    on = json.loads(json.dumps(given))
    on["refraction"]["axis_deg"] = on["keratometry"]["steep_meridian_deg"] = 0
    lens = asked(core, "lens-power", given)["lens"]
    assert lens == asked(core, "lens-power", on)["lens"]
    cylinders = [
        asked(core, "predicted-refraction", {**given, "lens": lens, "turned_deg": turn_deg})
        ["refraction"]["cylinder_D"]
        for turn_deg in (0, 180, -180, 90)
    ]  # fmt: skip
    assert cylinders[1:3] == pytest.approx([cylinders[0]] * 2, abs=1e-9)
    assert cylinders[3] < cylinders[0] - 0.5


def asked(core: Core, name: str, given: Body) -> dict[str, Any]:
    """Return the answer of one calculation."""
    request = json.dumps({"do": "calc", "name": name, "input": given})
    answer: dict[str, Any] = json.loads(core("door", "call", request)["value"])
    assert "error" not in answer, answer
    return answer
