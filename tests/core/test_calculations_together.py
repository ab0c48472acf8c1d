"""Values that are each possible and do not fit together, and what calculations make of units."""

import copy
from typing import Any

import pytest

from tests.core.valid_inputs import VALID
from tests.core_runtime import Core
from webapp.core.calc import calculations


def lens_power_with(**changes: object) -> dict[str, Any]:
    """Return a usable lens-power input with some top-level values replaced."""
    return {**VALID["lens-power"], **changes}


def keratometry(flat: float, steep: float, unit: str = "D") -> dict[str, float]:
    """Return keratometry in a unit."""
    return {f"flat_{unit}": flat, f"steep_{unit}": steep, "steep_meridian_deg": 90.0}


REFUSED = [
    ("keratometry.flat_D", {"keratometry": keratometry(45.0, 43.0)}),
    ("keratometry.flat_mm", {"keratometry": keratometry(7.5, 7.8, "mm")}),
    ("keratometry.flat_D", {"keratometry": keratometry(7.8, 7.5)}),
    ("keratometry.flat_mm", {"keratometry": keratometry(43.0, 44.0, "mm")}),
    ("keratometry.steep_mm", {"keratometry": {"flat_D": 43.0, "steep_mm": 7.5}}),
    ("anterior_chamber.from", {"anterior_chamber": {"depth_mm": 3.2, "cct_um": 540}}),
    (
        "anterior_chamber.from",
        {"anterior_chamber": {"depth_mm": 3.2, "from": "cornea", "cct_um": 540}},
    ),
    ("vault_um", {"vault_um": 0.5}),
    (
        "vault_um",
        {
            "anterior_chamber": {"depth_mm": 1.5, "from": "epithelium", "cct_um": 540},
            "vault_um": 1600,
        },
    ),
    ("refraction", {"refraction": [-9, -2.5, 15]}),
    ("refraction.axis_deg", {"refraction": {"sphere_D": -9, "cylinder_D": -1, "axis_deg": None}}),
    ("refraction.cylinder_D", {"refraction": {"sphere_D": -30, "cylinder_D": -6, "axis_deg": 9}}),
    ("target", {"target": None}),
    ("vault_mm", {"vault_mm": 0.5}),
]


@pytest.mark.parametrize(("field", "changes"), REFUSED)
def test_what_does_not_fit_together(core: Core, field: str, changes: dict[str, object]) -> None:
    """Swapped readings, a wrong unit or surface, a vault deeper than the chamber: by field."""
    answer = core("calc.calculations", "answer", "lens-power", lens_power_with(**changes))
    assert answer == {"refused": field}


def test_radii_and_powers_are_the_same_cornea() -> None:
    """Keratometry in millimetres gives what the same readings in dioptres give."""
    in_dioptres = lens_power_with(keratometry=keratometry(337.5 / 7.9, 337.5 / 7.6))
    in_millimetres = lens_power_with(keratometry=keratometry(7.9, 7.6, "mm"))
    one = calculations.answer("lens-power", in_dioptres)
    assert calculations.answer("lens-power", in_millimetres) == one


def test_depth_from_either_surface() -> None:
    """3.20 mm from the endothelium with 540 um is 3.74 mm from the epithelium."""
    depth = {"depth_mm": 3.74, "from": "epithelium", "cct_um": 540}
    one = calculations.answer("lens-power", lens_power_with(anterior_chamber=depth))
    assert one["lens_position_mm"] == pytest.approx(3.24)


VAULT_REFUSED = [
    ("model.V", {"V": [[1.0, 1.0, 0.0], [1.0, 1.0, 0.0], [0.0, 0.0, 1.0]]}),
    ("model.V", {"V": [[1.0, 0.0], [0.0, 1.0]]}),
    ("model.V", {"V": [[1.0, 0.5, 0.0], [0.1, 1.0, 0.0], [0.0, 0.0, 1.0]]}),
    ("model.mean", {"mean": [1.0, 2.0]}),
    ("model.features[1]", {"features": ["one", "one", "lens_rise_mm"]}),
    ("model.features[1]", {"features": ["one", "excess", "lens_rise_mm"]}),
    ("model.centre.excess_mm", {"centre": {"lens_rise_mm": 0.3}}),
    ("model.a", {"a": 0.5}),
    ("model.b", {"b": 0.0}),
    ("effects", {"features": ["one", "excess_mm", "effect:x"]}),
]


@pytest.mark.parametrize(("field", "changes"), VAULT_REFUSED)
def test_a_model_that_is_none(core: Core, field: str, changes: dict[str, object]) -> None:
    """A model that is singular, lopsided, or unsure of its own features is refused by field."""
    given = copy.deepcopy(VALID["vault"])
    given["model"].update(changes)
    assert core("calc.calculations", "answer", "vault", given) == {"refused": field}


def test_a_model_with_lens_rise_refuses_an_eye_without(core: Core) -> None:
    """The lens rise is asked for, not guessed."""
    given = copy.deepcopy(VALID["vault"])
    del given["lens_rise_mm"]
    assert core("calc.calculations", "answer", "vault", given) == {"refused": "lens_rise_mm"}


def test_a_window_the_wrong_way_round(core: Core) -> None:
    """A window whose low end is not below its high end is refused."""
    given = {**VALID["vault"], "window_um": [750, 250]}
    assert core("calc.calculations", "answer", "vault", given) == {"refused": "window_um"}


def test_a_model_can_be_given_back(core: Core) -> None:
    """What vault-model answers is what vault takes, effects included."""
    given = copy.deepcopy(VALID["vault-model"])
    given["features"].append("effect:second device")
    given["prior"]["mean"].append(0.0)
    given["prior"]["sd"].append(60.0)
    for place, eye in enumerate(given["observations"]):
        eye["effects"] = ["second device"] if place % 2 else []
    model = core("calc.calculations", "answer", "vault-model", given)["value"]["model"]
    eye = {**VALID["vault"], "model": model}
    plain = core("calc.calculations", "answer", "vault", {**eye, "effects": []})["value"]
    second = {**eye, "effects": ["second device"]}
    other = core("calc.calculations", "answer", "vault", second)["value"]
    moved = other["options"][0]["mean_um"] - plain["options"][0]["mean_um"]
    assert moved == pytest.approx(model["mean"][3])
