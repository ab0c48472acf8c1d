"""Quantiles, against scipy and printed tables."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from webapp.audit.quantiles import crossing, normal_quantile


@given(st.floats(0.5, 0.99999))
def test_normal_quantile(probability: float) -> None:
    """The quantile agrees with scipy to 1e-12."""
    assert normal_quantile(probability) == pytest.approx(stats.norm.ppf(probability), abs=1e-12)


# Any printed table of the normal distribution.
@pytest.mark.parametrize(
    ("probability", "z"), [(0.5, 0.0), (0.975, 1.959964), (0.995, 2.575829), (0.9995, 3.290527)]
)
def test_printed_table(probability: float, z: float) -> None:
    """The quantiles of the tables."""
    assert normal_quantile(probability) == pytest.approx(z, abs=5e-7)


def test_crossing_near_zero_keeps_its_digits() -> None:
    """A tiny crossing is found to the last digit of itself, not of its range."""
    found = crossing(lambda x: x, 3e-200, 0.0, 1.0)
    assert found == pytest.approx(3e-200, rel=1e-15, abs=0.0)
