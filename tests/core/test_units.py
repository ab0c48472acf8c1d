"""Counts of steps and texts of limits, alike in both Pythons."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core_runtime import Core
from webapp.core import units

# value, step, count: by hand; halves go away from zero.
STEPS = [
    (0.125, 0.25, 1),
    (-0.125, 0.25, -1),
    (-0.124999, 0.25, 0),
    (12.74, 0.25, 51),
    (-8.25, 0.01, -825),
    (0.49999999999999994, 1.0, 0),
    (2.5, 1.0, 3),
    (-2.5, 1.0, -3),
    (0.0, 0.01, 0),
]


@pytest.mark.parametrize(("value", "step", "count"), STEPS)
def test_to_step(core: Core, value: float, step: float, count: int) -> None:
    """A number is the nearest whole count of steps, an exact half going away from zero."""
    assert core("units", "to_step", value, step) == {"value": count}


@given(st.floats(-1e6, 1e6))
def test_to_step_is_odd(value: float) -> None:
    """Changing the sign of a value changes only the sign of its count."""
    assert units.to_step(-value, 0.01) == -units.to_step(value, 0.01)


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_to_step_of_no_number(value: float) -> None:
    """What is not a finite number has no count."""
    with pytest.raises((ValueError, OverflowError)):
        units.to_step(value, 0.01)


# value, text: by hand.
TEXTS = [(11.25, "11.25"), (-0.5, "-0.5"), (30.0, "30"), (0.001, "0.001"), (0.05, "0.05"), (0, "0")]


@pytest.mark.parametrize(("value", "text"), TEXTS)
def test_plain(core: Core, value: float, text: str) -> None:
    """A limit is printed without needless zeros."""
    assert core("units", "plain", value) == {"value": text}


# radius [mm], power [D] with index 1.3375: 337.5 / r; 7.5 mm reads 45 D by choice of the index.
RADII = [(7.5, 45.0), (7.67, 44.003), (7.80, 43.269), (7.85, 42.994), (8.04, 41.978)]


@pytest.mark.parametrize(("radius_mm", "power_d"), RADII)
def test_power_of_radius(core: Core, radius_mm: float, power_d: float) -> None:
    """Radii read as on any keratometer table."""
    answer = core("units", "power_of_radius", radius_mm)
    assert answer == {"value": pytest.approx(power_d, abs=1e-3)}
