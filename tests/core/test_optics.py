"""Power vectors and vergence, against numpy's matrices and each other."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core_runtime import Core
from tests.oracles import ray_matrix
from webapp.core import optics
from webapp.core.errors import BadInput
from webapp.core.optics import PowerVector, Refraction

refractions = st.builds(
    Refraction, st.floats(-25.0, 10.0), st.floats(-8.0, 8.0), st.floats(0.0, 180.0)
)
vectors = refractions.map(optics.power_vector)


def matrix(vector: PowerVector) -> ray_matrix.Matrix:
    """Return the power matrix of a vector."""
    mean, j0, j45 = vector
    return np.array([[mean + j0, j45], [j45, mean - j0]])


class TestPowerVector:
    """Refractions as vectors."""

    @given(refractions)
    def test_is_the_power_matrix(self, refraction: Refraction) -> None:
        """The vector is the matrix that rotating the principal powers into place gives."""
        expected = ray_matrix.mean_j0_j45(ray_matrix.power(*refraction))
        assert optics.power_vector(refraction) == pytest.approx(expected, abs=1e-12)

    @given(refractions)
    def test_transposition_is_the_same_power(self, refraction: Refraction) -> None:
        """Plus and minus cylinder forms are one vector."""
        other = optics.power_vector(optics.transposed(refraction))
        assert other == pytest.approx(optics.power_vector(refraction), abs=1e-12)

    @given(refractions)
    def test_axis_turned_by_180_is_the_same_power(self, refraction: Refraction) -> None:
        """An axis has no arrow."""
        turned = Refraction(refraction.sphere_d, refraction.cylinder_d, refraction.axis_deg + 180)
        same = optics.power_vector(turned)
        assert same == pytest.approx(optics.power_vector(refraction), abs=1e-12)

    @given(st.floats(-25.0, 10.0), st.floats(-8.0, -0.25), st.floats(0.5, 180.0))
    def test_there_and_back(self, sphere_d: float, cylinder_d: float, axis_deg: float) -> None:
        """Converting to a vector and back loses nothing."""
        before = Refraction(sphere_d, cylinder_d, axis_deg)
        after = optics.refraction_of(optics.power_vector(before))
        assert after == pytest.approx(before, abs=1e-9)

    @given(vectors)
    def test_answers_in_minus_cylinder(self, vector: PowerVector) -> None:
        """The cylinder is never plus and the axis lies above 0 and up to 180."""
        refraction = optics.refraction_of(vector)
        assert refraction.cylinder_d <= 0.0
        assert 0.0 < refraction.axis_deg <= 180.0

    def test_sum_of_two_crossed_cylinders(self, core: Core) -> None:
        """(+1.00 +2.00 x 30) and (-0.50 +1.50 x 75) are +3.50 -2.50 x 138.43 (worked by hand)."""
        one = core("optics", "power_vector", ["Refraction", [1.0, 2.0, 30.0]])["value"]
        other = core("optics", "power_vector", ["Refraction", [-0.5, 1.5, 75.0]])["value"]
        both = core("optics", "added", ["PowerVector", one], ["PowerVector", other])["value"]
        found = core("optics", "refraction_of", ["PowerVector", both])["value"]
        assert found == pytest.approx([3.5, -2.5, 138.4349], abs=5e-4)

    @pytest.mark.parametrize("axis_deg", [0.0, 180.0])
    def test_horizontal_axis_is_written_180(self, core: Core, axis_deg: float) -> None:
        """0 and 180 are one meridian, written 180 (ISO 8429, from memory)."""
        vector = core("optics", "power_vector", ["Refraction", [-1.0, -2.0, axis_deg]])["value"]
        found = core("optics", "refraction_of", ["PowerVector", vector])["value"]
        assert found == pytest.approx([-1.0, -2.0, 180.0])

    @given(vectors)
    def test_blur_of_a_cylinder_alone_is_half_of_it(self, vector: PowerVector) -> None:
        """Blur strength of a crossed cylinder is half its cylinder (Thibos 1997, from memory)."""
        alone = PowerVector(0.0, vector.j0_d, vector.j45_d)
        cylinder_d = optics.refraction_of(alone).cylinder_d
        assert optics.blur(alone) == pytest.approx(-cylinder_d / 2.0, abs=1e-9)


class TestMoved:
    """Vergence from plane to plane."""

    @given(vectors, st.floats(-0.012, 0.012))
    def test_is_the_matrix_formula(self, vector: PowerVector, reduced_m: float) -> None:
        """F (I - d F)^-1 in numpy's matrices."""
        power = matrix(vector)
        expected = power @ np.linalg.inv(np.eye(2) - reduced_m * power)
        found = optics.moved(vector, reduced_m)
        assert found == pytest.approx(ray_matrix.mean_j0_j45(expected), rel=1e-10, abs=1e-10)

    @given(vectors, st.floats(0.0, 0.018))
    def test_there_and_back(self, vector: PowerVector, distance_m: float) -> None:
        """Moving in and out again changes nothing."""
        back = optics.moved(optics.moved(vector, distance_m), -distance_m)
        assert back == pytest.approx(vector, abs=1e-9)

    @given(vectors, st.floats(0.0, 0.01), st.floats(0.0, 0.008))
    def test_steps_add_up(self, vector: PowerVector, first_m: float, then_m: float) -> None:
        """Two steps are one step of their sum."""
        stepped = optics.moved(optics.moved(vector, first_m), then_m)
        assert stepped == pytest.approx(optics.moved(vector, first_m + then_m), abs=1e-9)

    def test_focus_within_the_step(self) -> None:
        """A vergence that focuses before the next plane has no equal there: refused by field."""
        with pytest.raises(BadInput) as refusal:
            optics.moved(PowerVector(100.0, 0.0, 0.0), 0.012, "lens")
        assert refusal.value.field == "lens"


class TestMatrixProducts:
    """The products written on three numbers, against numpy."""

    @given(vectors, vectors)
    def test_sandwiched(self, outer: PowerVector, inner: PowerVector) -> None:
        """The product outer x inner x outer."""
        expected = matrix(outer) @ matrix(inner) @ matrix(outer)
        found = optics.sandwiched(outer, inner)
        assert found == pytest.approx(ray_matrix.mean_j0_j45(expected), rel=1e-9, abs=1e-7)

    @given(vectors)
    def test_squared(self, vector: PowerVector) -> None:
        """A matrix times itself."""
        expected = ray_matrix.mean_j0_j45(matrix(vector) @ matrix(vector))
        assert optics.squared(vector) == pytest.approx(expected, abs=1e-9)

    @given(vectors, st.floats(-0.012, 0.012))
    def test_magnification(self, vector: PowerVector, reduced_m: float) -> None:
        """(I - d F)^-1."""
        expected = np.linalg.inv(np.eye(2) - reduced_m * matrix(vector))
        found = optics.magnification(vector, reduced_m)
        assert found == pytest.approx(ray_matrix.mean_j0_j45(expected), rel=1e-10)

    @given(vectors, st.floats(-180.0, 180.0))
    def test_turned(self, vector: PowerVector, turn_deg: float) -> None:
        """R F R' with R the rotation by the same angle."""
        angle = np.radians(turn_deg)
        rotation = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
        expected = ray_matrix.mean_j0_j45(rotation @ matrix(vector) @ rotation.T)
        assert optics.turned(vector, turn_deg) == pytest.approx(expected, abs=1e-11)


def test_corneal_power_is_strong_along_the_steep_meridian() -> None:
    """44.50 D @ 100 and 42.50 D @ 10: the power along 100 is 44.50 (by hand)."""
    cornea = matrix(optics.corneal_power(42.5, 44.5, 100.0))
    along = np.array([np.cos(np.radians(100.0)), np.sin(np.radians(100.0))])
    assert along @ cornea @ along == pytest.approx(44.5)
