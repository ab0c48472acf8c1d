"""Centroid and ellipses, against numpy's eigenvectors and scipy's F."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats

from webapp.audit.centroid import centroid, f_quantile_95

Point = tuple[float, float]
points = st.lists(st.tuples(st.floats(-6.0, 6.0), st.floats(-6.0, 6.0)), min_size=3, max_size=40)


@pytest.mark.parametrize("dof", [1, 2, 3, 10, 98, 100_000])
def test_f_quantile(dof: int) -> None:
    """The closed form agrees with scipy."""
    assert f_quantile_95(dof) == pytest.approx(stats.f.ppf(0.95, 2, dof), rel=1e-9)


# Any printed table of F, 2 degrees of freedom above, 5 %.
@pytest.mark.parametrize(("dof", "printed"), [(1, 199.50), (5, 5.79), (10, 4.10), (30, 3.32)])
def test_f_of_the_tables(dof: int, printed: float) -> None:
    """The closed form gives the printed values."""
    assert f_quantile_95(dof) == pytest.approx(printed, abs=5e-3)


@given(points)
def test_ellipses(points_d: list[Point]) -> None:
    """Semi-axes agree with Hotelling's T squared, worked by numpy and scipy."""
    count = len(points_d)
    found = centroid(points_d)
    sizes = np.linalg.eigvalsh(np.cov(np.array(points_d).T))[::-1]
    t_squared = 2.0 * (count - 1) / (count - 2) * stats.f.ppf(0.95, 2, count - 2)
    expected = np.sqrt(np.maximum(sizes, 0.0) / count * t_squared)
    assert found.centre_d == pytest.approx(np.mean(points_d, axis=0), abs=1e-12)
    assert found.mean_ellipse_d == pytest.approx(expected, rel=1e-6, abs=1e-6)
    assert found.eye_ellipse_d == pytest.approx(expected * math.sqrt(count + 1), rel=1e-6, abs=1e-5)
    assert found.mean_ellipse_d[0] >= found.mean_ellipse_d[1]


@given(points)
def test_tilt_is_the_direction_of_the_larger_axis(points_d: list[Point]) -> None:
    """The tilt points along numpy's larger eigenvector, within (-90, 90]."""
    sizes, vectors = np.linalg.eigh(np.cov(np.array(points_d).T))
    assume(sizes[1] - sizes[0] > 1e-3 * sizes[1] > 1e-6)
    tilt_deg = centroid(points_d).tilt_deg
    assert tilt_deg is not None
    assert -90.0 < tilt_deg <= 90.0
    along = np.array([math.cos(math.radians(tilt_deg)), math.sin(math.radians(tilt_deg))])
    assert abs(float(along @ vectors[:, 1])) == pytest.approx(1.0, abs=1e-9)


@pytest.mark.parametrize(
    ("points_d", "tilt_deg"),
    [
        ([(-1.0, 0.0), (0.0, 0.0), (1.0, 0.0)], 0.0),
        ([(0.0, -1.0), (0.0, 0.0), (0.0, 1.0)], 90.0),
        ([(-1.0, -1.0), (0.0, 0.0), (1.0, 1.0)], 45.0),
        ([(-1.0, 1.0), (0.0, 0.0), (1.0, -1.0)], -45.0),
    ],
)
def test_points_on_a_line(points_d: list[Point], tilt_deg: float) -> None:
    """The ellipse is flat and lies along the line."""
    found = centroid(points_d)
    assert found.tilt_deg == pytest.approx(tilt_deg, abs=1e-12)
    assert found.mean_ellipse_d[1] == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(
    "points_d", [[(0.5, 0.25)] * 3, [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)]]
)
def test_no_larger_axis_no_tilt(points_d: list[Point]) -> None:
    """A point and a circle have no direction, and none is made up."""
    assert centroid(points_d).tilt_deg is None
