"""Kaplan-Meier, against lifelines and by hand."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lifelines import KaplanMeierFitter

from webapp.audit.survival import Row, kaplan_meier

followed = st.lists(
    st.tuples(st.integers(1, 40).map(lambda quarter: quarter / 4.0), st.booleans()),
    min_size=1,
    max_size=40,
)


@settings(max_examples=60)
@given(followed)
def test_agrees_with_lifelines(eyes: list[tuple[float, bool]]) -> None:
    """At risk, survival and log-log interval agree at each event time, ties included."""
    times_y = [time_y for time_y, _ in eyes]
    events = [event for _, event in eyes]
    fitter = KaplanMeierFitter(alpha=0.05).fit(times_y, events)
    table = fitter.event_table[fitter.event_table["observed"] > 0]
    rows = kaplan_meier(times_y, events)
    assert [row.time_y for row in rows] == list(table.index)
    assert [row.at_risk for row in rows] == list(table["at_risk"])
    for row in rows:
        survival = fitter.survival_function_.loc[row.time_y].iloc[0]
        assert row.survival == pytest.approx(survival, abs=1e-12)
        if row.low is not None:
            ends = fitter.confidence_interval_survival_function_.loc[row.time_y]
            assert (row.low, row.high) == pytest.approx(tuple(ends), abs=1e-9)


@given(followed)
def test_interval_holds_the_estimate(eyes: list[tuple[float, bool]]) -> None:
    """Survival falls, and each interval that exists holds it; only survival 0 has none."""
    rows = kaplan_meier([time_y for time_y, _ in eyes], [event for _, event in eyes])
    survivals = [row.survival for row in rows]
    assert survivals == sorted(survivals, reverse=True)
    for row in rows:
        assert (row.low is None) == (row.high is None) == (row.survival == 0.0)
        if row.low is not None and row.high is not None:
            assert 0.0 <= row.low <= row.survival <= row.high <= 1.0


def test_no_event_no_row() -> None:
    """Eyes that were only followed make no row."""
    assert kaplan_meier([1.0, 2.0], [False, False]) == []


def test_everybody_has_the_event() -> None:
    """Survival ends at exactly 0, where the log-log interval does not exist: by hand."""
    assert kaplan_meier([3.0, 3.0], [True, True]) == [Row(3.0, 2, 0.0, None, None)]


def test_last_visit_at_the_time_of_an_event() -> None:
    """An eye last seen when another has the event still counts as at risk: 1 of 3 by hand."""
    rows = kaplan_meier([2.0, 2.0, 5.0], [True, False, False])
    assert [(row.at_risk, row.survival) for row in rows] == [(3, pytest.approx(2.0 / 3.0))]
