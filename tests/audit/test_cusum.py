"""Cumulative sums: against the reflected random walk in closed form, and published run lengths."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.audit import cusum
from webapp.core.errors import BadInput

NEVER = 1e6
sizes = st.lists(st.floats(-4.0, 4.0), max_size=60)


def reflected(steps: list[float]) -> list[float]:
    """Return a walk held at 0 in closed form: the plain sum less its lowest point so far, by numpy.

    Source: Lindley 1952, Proc Camb Phil Soc 48:277 (from memory); nothing is carried from eye to
    eye here.
    """
    walk = np.cumsum([0.0, *steps])
    return list((walk - np.minimum.accumulate(walk))[1:])


@given(sizes)
def test_both_directions(sizes_sd: list[float]) -> None:
    """Up and down are the reflected walks of the errors, each less the allowance."""
    upwards, downwards = cusum.errors(sizes_sd, NEVER)
    assert upwards.path == pytest.approx(reflected([z - 0.5 for z in sizes_sd]), abs=1e-9)
    assert downwards.path == pytest.approx(reflected([-z - 0.5 for z in sizes_sd]), abs=1e-9)
    assert upwards.signals == downwards.signals == []


@given(st.lists(st.integers(0, 1), max_size=60), st.floats(0.01, 0.4), st.floats(1.1, 2.4))
def test_outcomes(events: list[int], acceptable: float, times: float) -> None:
    """Each eye adds the log of its two likelihoods' ratio, of a binomial of one, by hand."""
    worse = acceptable * times
    steps = [math.log(worse**e * (1 - worse) ** (1 - e)) for e in events]
    usual = [math.log(acceptable**e * (1 - acceptable) ** (1 - e)) for e in events]
    ratios = [one - other for one, other in zip(steps, usual, strict=True)]
    found = cusum.outcomes(events, acceptable, worse, NEVER)
    assert found.path == pytest.approx(reflected(ratios), abs=1e-9)


def test_a_signal_begins_again() -> None:
    """After a signal the sum starts from 0, and the eye that signalled is named: by hand."""
    upwards, _ = cusum.errors([3.5, 2.5, 1.0, 0.0, 5.0], 5.0)
    assert upwards.path == pytest.approx([3.0, 5.0, 0.5, 0.0, 4.5])
    assert upwards.signals == [1]


@pytest.mark.parametrize(("drift_sd", "mean_run"), [(1.0, 8.38), (1.5, 4.75), (2.0, 3.34)])
def test_published_run_lengths(drift_sd: float, mean_run: float) -> None:
    """Eyes until a signal at limit 4, allowance 0.5: the printed average run lengths.

    Source: table of the tabular CUSUM in Montgomery, Introduction to Statistical Quality Control
    (from memory). 2,000 runs each, whose mean strays by less than 4 in 100.
    """
    drawn = np.random.default_rng(4)
    runs = []
    for sizes_sd in drawn.normal(drift_sd, 1.0, (2000, 60)):
        upwards, _ = cusum.errors([float(size) for size in sizes_sd], 4.0)
        runs.append(upwards.signals[0] + 1)
    assert sum(runs) / len(runs) == pytest.approx(mean_run, rel=0.04)


@pytest.mark.parametrize(
    ("events", "shares", "limit", "field"),
    [
        ([0], (0.0, 0.1), 4.0, "acceptable"),
        ([0], (0.1, 1.0), 4.0, "unacceptable"),
        ([0], (0.1, 0.1), 4.0, "unacceptable"),
        ([2], (0.02, 0.06), 4.0, "events"),
        ([0], (0.02, 0.06), 0.0, "limit"),
        ([0], (float("nan"), 0.06), 4.0, "acceptable"),
    ],
)
def test_refused(events: list[int], shares: tuple[float, float], limit: float, field: str) -> None:
    """Shares, outcomes and limits that mean nothing are refused by field."""
    with pytest.raises(BadInput) as refusal:
        cusum.outcomes(events, *shares, limit)
    assert refusal.value.field == field


@pytest.mark.parametrize("bad", [float("nan"), float("inf")])
def test_an_error_that_is_no_number(bad: float) -> None:
    """An error without a size would silence the chart for ever after: it is refused."""
    with pytest.raises(BadInput, match="sizes_sd"):
        cusum.errors([0.0, bad], 4.0)
