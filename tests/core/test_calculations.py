"""What calculations by name refuse, and how they name it, in both Pythons."""

import copy
import json
from collections.abc import Iterator
from typing import Any

import pytest

from tests.core.valid_inputs import VALID
from tests.core_runtime import Core, in_cpython
from webapp.core import fields
from webapp.core.calc import calculations
from webapp.core.errors import BadInput

Place = list[str | int]


def places(value: object, kind: type, before: Place | None = None) -> Iterator[Place]:
    """Yield where values of a kind lie inside a JSON value."""
    here = before or []
    if isinstance(value, kind) and not isinstance(value, bool):
        yield here
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from places(inner, kind, [*here, name])
    if isinstance(value, list):
        for place, inner in enumerate(value):
            yield from places(inner, kind, [*here, place])


def path_of(place: Place) -> str:
    """Return a place as fields are named in refusals."""
    text = ""
    for step in place:
        text += f"[{step}]" if isinstance(step, int) else f".{step}" if text else str(step)
    return text


def changed(value: object, place: Place, new: object) -> Any:  # noqa: ANN401 - JSON
    """Return a copy with one place replaced."""
    if not place:
        return new
    whole: Any = copy.deepcopy(value)
    inner = whole
    for step in place[:-1]:
        inner = inner[step]
    inner[place[-1]] = new
    return whole


NUMBERS = [
    (name, place)
    for name, given in VALID.items()
    for place in [*places(given, int), *places(given, float)]
]
NUMBER_IDS = [f"{name}:{path_of(place)}" for name, place in NUMBERS]
OBJECTS = [(name, place) for name, given in VALID.items() for place in places(given, dict)]
OBJECT_IDS = [f"{name}:{path_of(place)}" for name, place in OBJECTS]


def test_every_calculation_has_a_worked_value() -> None:
    """No calculation goes without one."""
    assert set(VALID) == {calculation.name for calculation in calculations.ALL}


@pytest.mark.parametrize("bad", [True, False, "12", [], {}])
@pytest.mark.parametrize(("name", "place"), NUMBERS, ids=NUMBER_IDS)
def test_what_is_no_number(name: str, place: Place, bad: object) -> None:
    """True, text, a list and an object are refused by the path of the field."""
    answer = in_cpython("calc.calculations", "answer", name, changed(VALID[name], place, bad))
    assert answer == {"refused": path_of(place)}


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), float("-inf"), 10**400, -(10**16)])
@pytest.mark.parametrize(("name", "place"), NUMBERS, ids=NUMBER_IDS)
def test_what_is_no_usable_number(name: str, place: Place, bad: float) -> None:
    """What is not finite, or absurdly large, is refused by the path of the field."""
    with pytest.raises(BadInput) as refusal:
        calculations.answer(name, changed(VALID[name], place, bad))
    assert refusal.value.field == path_of(place)


def test_what_is_no_number_in_the_other_python(core: Core) -> None:
    """Both Pythons refuse the same, though they disagree whether True is a number."""
    for bad in (True, "12", None, 1e99, [], {"x": 1}):
        given = changed(VALID["lens-power"], ["keratometry", "flat_D"], bad)
        answer = core("calc.calculations", "answer", "lens-power", given)
        assert answer == {"refused": "keratometry.flat_D"}


@pytest.mark.parametrize(("name", "place"), OBJECTS, ids=OBJECT_IDS)
def test_an_unknown_key(name: str, place: Place) -> None:
    """An object with one key too many is refused by that key."""
    inner: Any = VALID[name]
    for step in place:
        inner = inner[step]
    given = changed(VALID[name], place, {**inner, "vertex": 12.0})
    answer = in_cpython("calc.calculations", "answer", name, given)
    assert answer == {"refused": path_of([*place, "vertex"])}


def required(kind: object, value: object, before: Place) -> Iterator[Place]:
    """Yield where required fields lie in a usable input, by the tables."""
    group = fields.inner_group(kind)
    if isinstance(value, list):
        for place, inner in enumerate(value):
            yield from required(group, inner, [*before, place])
    elif group is not None and isinstance(value, dict):
        for field in group.build.fields:
            if field.is_required:
                yield [*before, field.name]
            if field.name in value:
                yield from required(field.kind, value[field.name], [*before, field.name])


REQUIRED = [
    (calculation.name, place)
    for calculation in calculations.ALL
    for place in required(calculation.input, VALID[calculation.name], [])
]


@pytest.mark.parametrize(
    ("name", "place"), REQUIRED, ids=[f"{name}:{path_of(place)}" for name, place in REQUIRED]
)
def test_a_missing_key(name: str, place: Place) -> None:
    """Leaving a required field out is refused by its name."""
    given = copy.deepcopy(VALID[name])
    inner: Any = given
    for step in place[:-1]:
        inner = inner[step]
    del inner[place[-1]]
    assert in_cpython("calc.calculations", "answer", name, given) == {"refused": path_of(place)}


# calculation, place, a value just outside, and one at the end of the range. The ranges are those
# of the door's description: powers -35 to 20 D, lens -40 to 30 D, and so on.
EDGES: list[tuple[str, Place, float, float]] = [
    ("power-vector", ["refraction", "sphere_D"], -35.01, -29.75),
    ("power-vector", ["refraction", "sphere_D"], 20.01, 20.0),
    ("power-vector", ["refraction", "axis_deg"], 180.5, 180.0),
    ("power-vector", ["refraction", "axis_deg"], -0.5, 0.0),
    ("vertex", ["from_mm"], 20.1, 20.0),
    ("vertex", ["to_mm"], -0.1, 0.0),
    ("lens-power", ["vertex_mm"], 7.9, 8.0),
    ("lens-power", ["vertex_mm"], 18.1, 18.0),
    ("lens-power", ["keratometry", "flat_D"], 29.9, 30.0),
    ("lens-power", ["keratometry", "steep_D"], 60.1, 60.0),
    ("lens-power", ["keratometry", "steep_meridian_deg"], 180.1, 180.0),
    ("lens-power", ["anterior_chamber", "depth_mm"], 1.4, 1.5),
    ("lens-power", ["anterior_chamber", "depth_mm"], 5.1, 5.0),
    ("lens-power", ["anterior_chamber", "cct_um"], 299, 300),
    ("lens-power", ["anterior_chamber", "cct_um"], 801, 800),
    ("lens-power", ["vault_um"], 9.9, 10.0),
    ("lens-power", ["vault_um"], 0.5, 0.0),
    ("lens-power", ["vault_um"], 2501, 2500),
    ("predicted-refraction", ["lens", "sphere_D"], -40.1, -37.5),
    ("predicted-refraction", ["lens", "sphere_D"], 30.1, 29.0),
    ("re-rotation", ["lens_position_mm"], 0.9, 1.0),
    ("re-rotation", ["lens_position_mm"], 5.1, 5.0),
    ("vault-model", ["observations", 0, "length_mm"], 15.1, 15.0),
    ("vault-model", ["observations", 0, "diameter_mm"], 8.9, 9.0),
    ("vault-model", ["observations", 0, "lens_rise_mm"], 1.6, 1.5),
    ("vault-model", ["prior", "sd", 0], 0.0, 0.1),
    ("vault-model", ["prior", "sd", 0], -150.0, 150.0),
    ("vault-model", ["prior", "sigma0_um"], 0.0, 1.0),
    ("vault", ["lengths_mm", 0], 9.9, 10.0),
    ("vault", ["window_um", 0], 0.25, 250.0),
    ("vault-after-exchange", ["same_eye_correlation"], 1.1, 1.0),
    ("endothelium-minimum", ["age_y"], -1, 0),
    ("endothelium-minimum", ["end_cells_per_mm2"], 299, 300),
    ("endothelium-minimum", ["end_age_y"], 121, 120),
    ("endothelium-trend", ["cells_per_mm2", 0], 5001, 5000),
]


@pytest.mark.parametrize(("name", "place", "outside", "at_the_end"), EDGES)
def test_the_ends_of_ranges(
    core: Core, name: str, place: Place, outside: float, at_the_end: float
) -> None:
    """Just outside is refused by field; the end itself is answered."""
    refused = core("calc.calculations", "answer", name, changed(VALID[name], place, outside))
    assert refused == {"refused": path_of(place)}
    answered = core("calc.calculations", "answer", name, changed(VALID[name], place, at_the_end))
    assert "value" in answered, answered


def test_an_unknown_name(core: Core) -> None:
    """A calculation that does not exist is refused by name."""
    assert core("calc.calculations", "answer", "lens-colour", {}) == {"refused": "name"}


@pytest.mark.parametrize("data", [[], None, 3, "text", True])
def test_what_is_no_object(core: Core, data: object) -> None:
    """Anything but an object is refused as a whole."""
    assert core("calc.calculations", "answer", "vertex", data) == {"refused": "input"}


def test_help_names_each_field() -> None:
    """The help of a calculation is made from the tables that check it."""
    for calculation in calculations.ALL:
        text = "\n".join(calculations.help_lines(calculation))
        for field in calculation.input.build.fields:
            assert f"{field.name}: {field.kind.text()}" in text


def test_both_pythons_give_the_same_numbers(core: Core) -> None:
    """Each usable input gives the same answer to 1e-9 in both."""
    for name, given in VALID.items():
        here = json.dumps(calculations.answer(name, copy.deepcopy(given)), sort_keys=True)
        answer = core("calc.calculations", "answer", name, given)["value"]
        there = json.dumps(answer, sort_keys=True)
        assert numbers_in(there) == pytest.approx(numbers_in(here), rel=1e-9, abs=1e-9)


def numbers_in(text: str) -> list[float]:
    """Return all numbers of a JSON text, in order."""
    found: list[float] = []

    def keep(digits: str) -> float:
        found.append(float(digits))
        return found[-1]

    json.loads(text, parse_float=keep, parse_int=keep)
    return found


@pytest.mark.parametrize(
    ("asked", "field", "says"),
    [
        ({"flat_D": 43, "steep_D": 44, "flat_mm": 7.8}, "keratometry", "given in D and in mm"),
        ({"flat_mm": 7.8, "steep_mm": 7.7, "steep_D": 44}, "keratometry", "given in D and in mm"),
        ({"flat_D": True, "steep_D": 44}, "keratometry.flat_D", "not true, false or null"),
        ({"flat_D": None, "steep_D": 44}, "keratometry.flat_D", "not true, false or null"),
        ({"flat_D": "43", "steep_D": 44}, "keratometry.flat_D", "without quotation marks"),
        ({"flat_D": 7.76, "steep_D": 7.7}, "keratometry.flat_D", "looks like a radius"),
    ],
)
def test_a_refusal_says_what_to_do(
    core: Core, asked: dict[str, object], field: str, says: str
) -> None:
    """Each slip of keratometry in words of its own, in both Pythons."""
    given = {
        "refraction": {"sphere_D": -10, "cylinder_D": 0, "axis_deg": None}, "vertex_mm": 12,
        "keratometry": {**asked, "steep_meridian_deg": 90}, "vault_um": 500,
        "anterior_chamber": {"depth_mm": 3.2, "from": "endothelium", "cct_um": 540},
    }  # fmt: skip
    request = json.dumps({"do": "calc", "name": "lens-power", "input": given})
    error = json.loads(core("door", "call", request)["value"])["error"]
    assert error["field"] == field
    assert says in error["message"]
