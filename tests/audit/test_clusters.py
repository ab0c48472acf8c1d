"""Mean over eyes of persons, against statsmodels' generalised estimating equations."""

import math

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given, settings
from hypothesis import strategies as st

from webapp.audit.clusters import clustered_mean

people = st.lists(
    st.lists(st.integers(-40, 40).map(lambda quarter: quarter / 4.0), min_size=1, max_size=2),
    min_size=2,
    max_size=30,
)


@settings(max_examples=40)
@given(people)
def test_agrees_with_gee(clusters: list[list[float]]) -> None:
    """Mean and robust error are those of GEE with working independence."""
    values = [value for eyes in clusters for value in eyes]
    persons = [person for person, eyes in enumerate(clusters) for _ in eyes]
    found = clustered_mean(clusters)
    assert (found.n_eyes, found.n_patients) == (len(values), len(clusters))
    if max(values) == min(values):
        assert found.robust_se == pytest.approx(0.0, abs=1e-12)
        return
    model = sm.GEE(np.array(values), np.ones((len(values), 1)), groups=persons)
    fitted = model.fit(cov_type="robust")
    assert found.mean == pytest.approx(fitted.params[0], abs=1e-9)
    assert found.robust_se == pytest.approx(fitted.bse[0], abs=1e-9)


@given(st.lists(st.floats(-9.0, 9.0), min_size=2, max_size=30))
def test_one_eye_each(values: list[float]) -> None:
    """With one eye a person it is the ordinary standard error, divisor n."""
    found = clustered_mean([[value] for value in values])
    expected = np.std(values) / math.sqrt(len(values))
    assert found.robust_se == pytest.approx(expected, abs=1e-12)


def test_two_equal_eyes_are_one() -> None:
    """A fellow eye that only repeats the first adds nothing to what is known."""
    one = clustered_mean([[1.0], [2.0], [4.0]])
    two = clustered_mean([[1.0, 1.0], [2.0, 2.0], [4.0, 4.0]])
    assert two.robust_se == pytest.approx(one.robust_se, abs=1e-15)


def test_one_person_has_no_error() -> None:
    """One person says nothing about the differences between persons: no error, not 0."""
    assert clustered_mean([[1.0, 3.0]]).robust_se is None
