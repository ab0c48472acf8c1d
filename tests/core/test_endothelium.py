"""Cells to start with, and the trend of counts."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from tests.core_runtime import Core
from webapp.core import endothelium


def test_minimum_is_what_is_left_at_the_end() -> None:
    """Losing the stated shares and rate from the minimum leaves exactly the end count."""
    start = endothelium.minimum_count(25.0, 1000.0, 85.0, 0.018, 0.05, 0.1)
    assert start * 0.95 * 0.9 * math.exp(-0.018 * 60.0) == pytest.approx(1000.0)


# rows of one age, 21 years: end count, end age, rate, minimum (computed; 5 % lost at surgery).
ROWS = [(1500.0, 0.006, 2318.0), (1000.0, 0.01, 1996.0), (1000.0, 0.018, 3331.0)]


@pytest.mark.parametrize(("end", "rate", "minimum"), ROWS)
def test_minimum_by_policy(core: Core, end: float, rate: float, minimum: float) -> None:
    """The policy decides: minima at 21 for three of them."""
    found = core("endothelium", "minimum_count", 21.0, end, 85.0, rate, 0.05)
    assert found == {"value": pytest.approx(minimum, abs=1.0)}


@given(
    st.lists(
        st.tuples(st.floats(0.0, 10.0), st.floats(1500.0, 3000.0)), min_size=3, max_size=12
    ).filter(lambda rows: max(r[0] for r in rows) - min(r[0] for r in rows) >= 1.0)
)
def test_trend_is_the_regression(rows: list[tuple[float, float]]) -> None:
    """Slope, interval and time to the floor agree with numpy's polynomial fit and scipy's t."""
    years, logs = np.array([row[0] for row in rows]), np.log([row[1] for row in rows])
    slope, intercept = np.polyfit(years, logs, 1)
    rest = logs - intercept - slope * years
    error = np.sqrt(rest @ rest / (len(rows) - 2) / np.sum((years - years.mean()) ** 2))
    reach = stats.t.ppf(0.975, len(rows) - 2) * error
    found = endothelium.trend(years.tolist(), [row[1] for row in rows], 1000.0)
    assert found.loss_percent_per_y == pytest.approx(100 * (1 - math.exp(slope)), abs=1e-8)
    low, high = (100 * (1 - math.exp(slope + side * reach)) for side in (1, -1))
    assert found.low_percent_per_y == pytest.approx(low, rel=1e-6, abs=1e-6)
    assert found.high_percent_per_y == pytest.approx(high, rel=1e-6, abs=1e-6)
    if slope < -1e-6:
        assert found.years_to_floor == pytest.approx(
            (math.log(1000.0) - intercept) / slope, rel=1e-6
        )


@pytest.mark.parametrize("counts", [[2500.0, 2500.0, 2500.0], [2400.0, 2450.0, 2500.0]])
def test_a_trend_that_does_not_fall(counts: list[float]) -> None:
    """Counts that stay or rise never reach the floor; steady ones lose exactly nothing."""
    found = endothelium.trend([0.0, 1.0, 2.0], counts, 1500.0)
    assert found.years_to_floor is None
    assert found.loss_percent_per_y <= 0.0


@pytest.mark.parametrize(
    ("years", "counts"), [([0.0, 2.0], [2600.0, 2500.0]), ([0.0, 0.5, 0.9], [2600.0] * 3)]
)
def test_too_little_to_tell(core: Core, years: list[float], counts: list[float]) -> None:
    """A pair of counts, or less than a year, is no trend."""
    assert core("endothelium", "trend", years, counts, 1500.0) == {"refused": "time_y"}
