"""logMAR and the two indices: against the chart's own steps, numpy and exact fractions."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.audit import acuity
from webapp.core.errors import BadInput

decimals = st.floats(0.001, 4.0)
eyes = st.lists(st.tuples(decimals, decimals), min_size=1, max_size=30)


@given(st.integers(-3, 13))
def test_the_lines_of_a_log_chart(line: int) -> None:
    """A line is 0.1 logMAR and the letters of the next are smaller by the tenth root of ten."""
    assert acuity.logmar(10.0 ** (-line / 10)) == pytest.approx(line / 10, abs=1e-12)


@given(decimals)
def test_the_smallest_angle(decimal: float) -> None:
    """The scale is the logarithm of minutes of arc, 1 / decimal, by numpy; and it leads back."""
    assert acuity.logmar(decimal) == pytest.approx(float(np.log10(1.0 / decimal)), abs=1e-12)
    assert acuity.decimal(acuity.logmar(decimal)) == pytest.approx(decimal, rel=1e-12)


def test_words() -> None:
    """Counting fingers and hand movements as Lange 2009 measured them (abstract read)."""
    assert acuity.logmar("CF") == 1.98
    assert acuity.logmar("HM") == 2.28


@pytest.mark.parametrize("bad", [0.0, -0.5, 20.0, float("nan"), float("inf"), "PL", "0.5", ""])
def test_what_has_no_logmar(bad: float | str) -> None:
    """Light, zero, a Snellen numerator and text are refused by field."""
    with pytest.raises(BadInput) as refusal:
        acuity.logmar(bad)
    assert refusal.value.field == "acuity"


@given(eyes)
def test_ratio_of_means(pairs: list[tuple[float, float]]) -> None:
    """Both indices are the ratio of two means in exact fractions, not the mean of ratios."""
    after, before = [a for a, _ in pairs], [b for _, b in pairs]
    exact = sum(map(Fraction, after)) / sum(map(Fraction, before))
    assert acuity.efficacy_index(after, before) == pytest.approx(float(exact), rel=1e-12)
    assert acuity.safety_index(after, before) == pytest.approx(float(exact), rel=1e-12)


def test_a_ratio_of_means_is_no_mean_of_ratios() -> None:
    """0.1 to 0.2 and 1.0 to 1.0: 1.2 / 1.1, while the mean ratio would be 1.5; by hand."""
    assert acuity.safety_index([0.2, 1.0], [0.1, 1.0]) == pytest.approx(12 / 11)


@pytest.mark.parametrize(
    ("after", "before", "field"),
    [
        ([], [], "corrected_after"),
        ([1.0], [1.0, 1.0], "corrected_after"),
        ([0.0], [1.0], "corrected_after"),
        ([1.0], [float("nan")], "corrected_before"),
        ([1.0], [6.0], "corrected_before"),
    ],
)
def test_what_has_no_index(after: list[float], before: list[float], field: str) -> None:
    """No eyes, other eyes and impossible acuities are refused by field."""
    with pytest.raises(BadInput) as refusal:
        acuity.safety_index(after, before)
    assert refusal.value.field == field
