"""Turned lenses: what they leave, and the turn that undoes it."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from webapp.core import lens_power, optics, rotation
from webapp.core.lens_power import Eye
from webapp.core.optics import PLANO, PowerVector, Refraction

axes = st.floats(1.0, 180.0)
corneas = st.builds(optics.corneal_power, st.floats(39.0, 43.0), st.floats(43.0, 46.0), axes)
lenses = st.builds(Refraction, st.floats(-15.0, -3.0), st.floats(-5.0, -1.0), axes).map(
    optics.power_vector
)
operated = st.builds(
    lambda cornea, vertex_mm, position_mm: Eye(PLANO, vertex_mm, cornea, PLANO, position_mm),
    corneas,
    st.floats(10.0, 14.0),
    st.floats(2.0, 4.0),
)


@pytest.mark.parametrize(
    ("turn_deg", "percent"), [(1, 3.5), (3, 10.5), (5, 17.4), (10, 34.7), (30, 100.0), (90, 200.0)]
)
def test_cylinder_left_at_the_lens(turn_deg: float, percent: float) -> None:
    """2 C sin(theta): the usual figures (1 and 3 degrees read in a 2018 trade article)."""
    lens = optics.power_vector(Refraction(-10.0, -2.0, 20.0))
    left = optics.subtracted(lens, optics.turned(lens, turn_deg))
    assert optics.refraction_of(left).cylinder_d == pytest.approx(-2.0 * percent / 100, abs=1e-2)


class TestBestTurn:
    """The turn to propose."""

    @given(operated, lenses, st.floats(-80.0, 80.0))
    def test_undoes_a_known_turn(self, eye: Eye, lens: PowerVector, turn_deg: float) -> None:
        """A perfect lens that has turned is turned back by exactly as much."""
        assume(abs(turn_deg) > 0.5)
        naked = rotation.naked_refraction(eye, PLANO, lens)
        lies = optics.turned(lens, turn_deg)
        seen = lens_power.refraction_with(eye._replace(refraction=naked), lies)
        found = rotation.best_turn(eye, seen, lies, PLANO)
        assert found.turn_deg == pytest.approx(-turn_deg, abs=1e-6)
        assert found.refraction == pytest.approx(PLANO, abs=1e-8)
        assert found.gain_d == pytest.approx(optics.blur(seen), abs=1e-8)
        back_deg = optics.axis_of(lens)
        assert math.sin(math.radians(2 * (found.axis_deg - back_deg))) == pytest.approx(0, abs=1e-7)

    @given(operated, lenses, st.builds(Refraction, st.floats(-1, 1), st.floats(-2, 0), axes))
    def test_no_other_turn_leaves_less_at_the_lens(
        self, eye: Eye, lens: PowerVector, observed: Refraction
    ) -> None:
        """The cylinder needed but not supplied is least at the proposed turn."""
        seen = optics.power_vector(observed)
        behind = rotation.vergence_behind(eye, seen, lens)
        wanted = optics.subtracted(behind, lens_power.vergence_supplied(eye, PLANO))
        best = rotation.best_turn(eye, seen, lens, PLANO).turn_deg

        def left(turn_deg: float) -> float:
            return optics.astigmatism(optics.subtracted(wanted, optics.turned(lens, turn_deg)))

        assert min(left(best + step) for step in range(-90, 91, 3)) >= left(best) - 1e-9
        assert -90.0 < best <= 90.0

    @pytest.mark.parametrize("zero", [0.0, -0.0])
    def test_a_quarter_turn_has_one_name(self, zero: float) -> None:
        """An axis 90 degrees away is +90, never -90, whatever the sign of a zero."""
        now, wanted = PowerVector(0.0, 1.0, zero), PowerVector(0.0, -1.0, zero)
        assert rotation.turn_between(now, wanted) == 90.0

    def test_spherical_lens(self) -> None:
        """Turning a spherical lens does nothing, and it has no axis."""
        eye = Eye(PLANO, 12.0, PowerVector(43.0, 0.0, 0.0), PLANO, 3.0)
        seen = optics.power_vector(Refraction(0.5, -1.0, 40.0))
        found = rotation.best_turn(eye, seen, PowerVector(-8.0, 0.0, 0.0), PLANO)
        assert (found.turn_deg, found.axis_deg) == (0.0, None)
        assert found.gain_d == pytest.approx(0.0, abs=1e-12)


@given(operated, lenses, st.builds(Refraction, st.floats(-1, 1), st.floats(-2, 0), axes))
def test_naked_refraction_explains_what_is_seen(
    eye: Eye, lens: PowerVector, observed: Refraction
) -> None:
    """The eye with that naked refraction and that lens reads what was observed."""
    seen = optics.power_vector(observed)
    naked = rotation.naked_refraction(eye, seen, lens)
    found = lens_power.refraction_with(eye._replace(refraction=naked), lens)
    assert found == pytest.approx(seen, abs=1e-8)
