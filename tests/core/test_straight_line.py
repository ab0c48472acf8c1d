"""The least-squares line, against scipy."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats

from webapp.core.straight_line import fitted_line, slope_se

points = st.lists(
    st.tuples(st.integers(0, 40).map(lambda quarter: quarter / 4.0), st.floats(-50.0, 50.0)),
    min_size=3,
    max_size=20,
)


@given(points)
def test_agrees_with_scipy(drawn: list[tuple[float, float]]) -> None:
    """Intercept, slope and the slope's standard error."""
    x, y = [one for one, _ in drawn], [other for _, other in drawn]
    assume(len(set(x)) > 1 and len(set(y)) > 1)
    line, judge = fitted_line(x, y), stats.linregress(x, y)
    assert line.slope == pytest.approx(judge.slope, abs=1e-9)
    assert line.intercept == pytest.approx(judge.intercept, abs=1e-9)
    # scipy goes by 1 - r^2, which keeps half the digits of a nearly perfect fit.
    assert slope_se(line) == pytest.approx(judge.stderr, abs=1e-5)


def test_scatter_by_hand() -> None:
    """0, 3, 0 at 0, 1, 2: level at 1, squares 1 + 4 + 1 over one degree of freedom."""
    line = fitted_line([0.0, 1.0, 2.0], [0.0, 3.0, 0.0])
    assert (line.slope, line.intercept, line.n, line.x_mean, line.sxx) == (0.0, 1.0, 3, 1.0, 2.0)
    assert line.scatter == pytest.approx(math.sqrt(6.0))


def test_a_constant_series_is_level() -> None:
    """Exactly: no rounding makes a loss out of it."""
    assert fitted_line([0.1, 0.7, 1.9], [2641.3] * 3).slope == 0.0
