"""Intervals of a share, against statsmodels and scipy."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.proportion import proportion_confint

from webapp.audit.proportion import clopper_pearson, wilson

counts = st.integers(1, 3000).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))
levels = st.sampled_from([0.5, 0.8, 0.9, 0.95, 0.99, 0.999])


@given(counts, levels)
def test_wilson(share: tuple[int, int], level: float) -> None:
    """Wilson's interval agrees with statsmodels."""
    events, n_eyes = share
    expected = proportion_confint(events, n_eyes, alpha=1.0 - level, method="wilson")
    assert wilson(events, n_eyes, level) == pytest.approx(expected, abs=1e-12)


@given(counts, levels)
def test_clopper_pearson(share: tuple[int, int], level: float) -> None:
    """The exact interval agrees with scipy's binomial test."""
    events, n_eyes = share
    expected = stats.binomtest(events, n_eyes).proportion_ci(level, "exact")
    found = clopper_pearson(events, n_eyes, level)
    assert found == pytest.approx((expected.low, expected.high), abs=1e-10)


@pytest.mark.parametrize(("events", "n_eyes"), [(0, 10**6), (1, 10**6), (12_345, 10**6)])
def test_a_million_eyes(events: int, n_eyes: int) -> None:
    """The exact interval keeps its digits where the share is tiny."""
    low = stats.beta.ppf(0.025, events, n_eyes - events + 1) if events else 0.0
    high = stats.beta.ppf(0.975, events + 1, n_eyes - events)
    assert clopper_pearson(events, n_eyes, 0.95) == pytest.approx((low, high), rel=1e-9, abs=0.0)


@settings(max_examples=50)
@given(counts, levels)
def test_intervals_hold_the_share_and_mirror(share: tuple[int, int], level: float) -> None:
    """Each interval holds the share, stays within 0 and 1, and mirrors with the other outcome."""
    events, n_eyes = share
    for method in (wilson, clopper_pearson):
        found = method(events, n_eyes, level)
        assert 0.0 <= found.low <= events / n_eyes <= found.high <= 1.0
        other = method(n_eyes - events, n_eyes, level)
        assert (1.0 - other.high, 1.0 - other.low) == pytest.approx(found, abs=1e-13)


@pytest.mark.parametrize("method", [wilson, clopper_pearson])
def test_none_and_all_touch_the_end(method: object) -> None:
    """No event begins at exactly 0, and every one ends at exactly 1."""
    assert callable(method)
    assert method(0, 50, 0.95).low == 0.0
    assert method(50, 50, 0.95).high == 1.0


def test_rule_of_three() -> None:
    """None in n: the one-sided 95 % bound is near 3 / n.

    Source: Hanley & Lippman-Hand 1983, JAMA 249:1743 (from memory). A two-sided
    interval of 0.90 has 5 % above it.
    """
    assert clopper_pearson(0, 1000, 0.90).high == pytest.approx(3.0 / 1000, rel=0.01)
