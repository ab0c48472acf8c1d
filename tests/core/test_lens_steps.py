"""Lenses that are made, around the exact one."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core_runtime import Core
from webapp.core import lens_power, lens_steps, optics
from webapp.core.lens_power import Eye
from webapp.core.lens_steps import LensModel
from webapp.core.optics import PLANO, PowerVector, Refraction

TORIC = LensModel(-1800, 300, 25, -600, -50, 50, 1)
ROUND = LensModel(-1800, 300, 50, 0, 0, 0, 1)


def eye_with(sphere_d: float, cylinder_d: float, axis_deg: float) -> Eye:
    """Return an eye with a common cornea and chamber."""
    refraction = optics.power_vector(Refraction(sphere_d, cylinder_d, axis_deg))
    return Eye(refraction, 12.0, optics.corneal_power(42.5, 44.5, 100.0), PLANO, 3.07)


def exact(eye: Eye) -> PowerVector:
    """Return the exact lens for plano."""
    return lens_power.lens_for(eye, PLANO)


class TestScore:
    """What counts as near the target."""

    def test_long_sight_counts_double(self, core: Core) -> None:
        """+0.25 D is as bad as -0.50 D."""
        long = core("lens_steps", "score", ["PowerVector", [0.25, 0, 0]], ["PowerVector", [0] * 3])
        short = core("lens_steps", "score", ["PowerVector", [-0.5, 0, 0]], ["PowerVector", [0] * 3])
        assert long == short == {"value": pytest.approx(0.5)}


class TestBestLenses:
    """The list that is offered."""

    @settings(max_examples=15)
    @given(st.floats(-12.0, -4.0), st.floats(-4.0, -1.0), st.floats(1.0, 180.0))
    def test_no_lens_made_is_better(self, s: float, c: float, axis_deg: float) -> None:
        """The first one is the best of all lenses within 2 D and at every axis (searched)."""
        eye = eye_with(s, c, axis_deg)
        best = lens_steps.best_lenses(eye, exact(eye), PLANO, TORIC)[0]
        needed = lens_power.vergence_needed(eye)
        middle = optics.refraction_of(exact(eye))
        near_sphere = [v for v in range(-1800, 301, 25) if abs(v / 100 - middle.sphere_d) < 1.0]
        near_cylinder = [v for v in range(-600, -49, 50) if abs(v / 100 - middle.cylinder_d) < 1.0]
        least = min(
            lens_steps.score(lens_steps.predict(eye, needed, (sphere, cylinder, axis)), PLANO)
            for sphere in near_sphere
            for cylinder in near_cylinder
            for axis in range(1, 181)
        )
        assert best.score_d == pytest.approx(least, abs=1e-12)

    @given(st.floats(-15.0, -3.0), st.floats(-4.0, 0.0), st.floats(1.0, 180.0))
    def test_only_lenses_that_are_made(self, s: float, c: float, axis_deg: float) -> None:
        """Each one offered is in the catalogue, none twice, best first."""
        eye = eye_with(s, c, axis_deg)
        for model in (TORIC, ROUND):
            found = lens_steps.best_lenses(eye, exact(eye), PLANO, model, 5)
            assert all(lens_steps.is_made(model, *lens[:3]) for lens in found)
            assert len({lens[:2] for lens in found}) == len(found)
            assert [lens.score_d for lens in found] == sorted(lens.score_d for lens in found)

    def test_worked_example(self) -> None:
        """-9.00 -2.50 x 15: -9.75 -2.50 x 15 comes first and leaves +0.02 -0.05 (computed)."""
        eye = eye_with(-9.0, -2.5, 15.0)
        first = lens_steps.best_lenses(eye, exact(eye), PLANO, TORIC)[0]
        assert first[:3] == (-975, -250, 15)
        left = optics.refraction_of(first.predicted)
        assert left.sphere_d == pytest.approx(0.0243, abs=5e-4)
        assert left.cylinder_d == pytest.approx(-0.0458, abs=5e-4)

    @pytest.mark.parametrize("sphere_d", [-24.0, 12.0])
    def test_nothing_is_put_in_the_place_of_a_lens_not_made(self, sphere_d: float) -> None:
        """An eye beyond the range gets no lens, not the last one of the range."""
        eye = eye_with(sphere_d, -2.0, 15.0)
        assert lens_steps.best_lenses(eye, exact(eye), PLANO, TORIC) == []

    @pytest.mark.parametrize(
        ("value", "made"), [(-1824.0, [-1800, -1775]), (-1826.0, []), (324.0, [275, 300])]
    )
    def test_the_ends_of_a_row(self, core: Core, value: float, made: list[int]) -> None:
        """Up to one step outside, the last steps are tried; further out, none is."""
        answer = core("lens_steps", "steps_near", value, -1800, 300, 25)
        assert answer == {"value": made}

    def test_same_list_in_both_pythons(self, core: Core) -> None:
        """Both Pythons choose the same lenses in the same order."""
        eye = eye_with(-9.0, -2.5, 15.0)
        eye_json = ["Eye", [["PowerVector", list(v)] if isinstance(v, tuple) else v for v in eye]]
        lens, target = ["PowerVector", list(exact(eye))], ["PowerVector", [0.0, 0.0, 0.0]]
        answer = core(
            "lens_steps", "best_lenses", eye_json, lens, target, ["LensModel", list(TORIC)], 3
        )
        here = lens_steps.best_lenses(eye, exact(eye), PLANO, TORIC, 3)
        assert [lens[:3] for lens in answer["value"]] == [list(lens[:3]) for lens in here]


@pytest.mark.parametrize(
    ("exact_deg", "nearest"), [(179.6, 180), (0.3, 180), (0.7, 1), (179.2, 179)]
)
def test_nearest_axis_is_counted_across_180(core: Core, exact_deg: float, nearest: int) -> None:
    """Axis 0.3 is 0.3 degrees from 180, not 179.7."""
    lenses = [[-900, -100, axis_deg] for axis_deg in (179, 180, 1)]
    assert core("lens_steps", "nearest_axis", exact_deg, lenses) == {"value": nearest}


class TestSphericalAlternative:
    """When a spherical lens is offered beside a toric one."""

    @pytest.mark.parametrize(("cylinder_d", "is_offered"), [(-0.3, True), (-0.7, False)])
    def test_below_the_smallest_cylinder(self, cylinder_d: float, is_offered: bool) -> None:
        """A wanted cylinder below the smallest that is made (0.50 D)."""
        wanted = optics.power_vector(Refraction(-10.0, cylinder_d, 90.0))
        assert lens_steps.wants_spherical(wanted, TORIC) is is_offered


class TestIsMade:
    """Membership of the catalogue."""

    @pytest.mark.parametrize(
        ("lens", "is_made"),
        [
            ((-975, -250, 15), True),
            ((-970, -250, 15), False),
            ((-1825, -250, 15), False),
            ((-975, -225, 15), False),
            ((-975, 0, 15), False),
            ((-975, -250, 0), False),
            ((-975, -250, None), False),
        ],
    )
    def test_toric(self, core: Core, lens: tuple[int, int, int | None], is_made: bool) -> None:
        """Range, step, cylinder and axis must all be the catalogue's."""
        answer = core("lens_steps", "is_made", ["LensModel", list(TORIC)], *lens)
        assert answer == {"value": is_made}

    def test_spherical(self) -> None:
        """A spherical model has no cylinder, whatever the axis says."""
        assert lens_steps.is_made(ROUND, -950, 0, None)
        assert not lens_steps.is_made(ROUND, -950, -50, 90)
