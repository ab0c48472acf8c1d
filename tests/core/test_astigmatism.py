"""Intended and achieved astigmatism."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core_runtime import Core
from webapp.core import astigmatism, optics
from webapp.core.optics import PLANO, PowerVector, Refraction

refractions = st.builds(
    Refraction, st.floats(-20.0, 5.0), st.floats(-6.0, -1.0), st.floats(1.0, 180.0)
).map(optics.power_vector)


@given(refractions)
def test_perfect_correction(before: PowerVector) -> None:
    """An eye left plano: all of the intended change, none of it missed."""
    found = astigmatism.change(before, PLANO, PLANO, 12.0)
    assert found.correction_index == pytest.approx(1.0)
    assert found.difference_d == pytest.approx(0.0, abs=1e-12)
    assert found.angle_error_deg == pytest.approx(0.0, abs=1e-9)


@given(refractions)
def test_nothing_done(before: PowerVector) -> None:
    """An eye left as it was: nothing achieved, so no angle."""
    found = astigmatism.change(before, before, PLANO, 12.0)
    assert found.correction_index == 0.0
    assert found.angle_error_deg is None
    assert found.difference_d == pytest.approx(found.target_d)


def test_a_counter_clockwise_miss_is_positive(core: Core) -> None:
    """A change whose axis lies 5 degrees counter-clockwise of the intended one is +5."""
    intended = core("optics", "power_vector", ["Refraction", [0.0, -2.0, 20.0]])["value"]
    achieved = core("optics", "power_vector", ["Refraction", [0.0, -2.0, 25.0]])["value"]
    answer = core(
        "astigmatism", "angle_error", ["PowerVector", intended], ["PowerVector", achieved]
    )
    assert answer == {"value": pytest.approx(5.0)}


def test_a_small_target_has_no_ratio() -> None:
    """Below 0.25 D intended, ratio and angle are left out; the sizes stay."""
    before = optics.power_vector(Refraction(-3.0, -0.2, 90.0))
    after = optics.power_vector(Refraction(0.0, -0.5, 10.0))
    found = astigmatism.change(before, after, PLANO, 12.0)
    assert (found.correction_index, found.angle_error_deg) == (None, None)
    assert found.magnitude_error_d == pytest.approx(found.achieved_d - found.target_d)
