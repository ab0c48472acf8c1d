"""Student's t and the normal distribution, against scipy and printed tables."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special, stats

from tests.core_runtime import Core
from webapp.core import student

dofs = st.floats(0.5, 5000.0)


@pytest.mark.parametrize("dof", [0.5, 1.1, 3.0, 8.0, 20.0, 59.0, 61.0, 500.0, 1e4])
@pytest.mark.parametrize("t", [0.0, 1e-8, 0.01, 0.5, 1.0, 2.0, 5.0, 30.0, 500.0])
def test_tail_keeps_its_digits(t: float, dof: float) -> None:
    """The tail agrees with scipy to 1e-11 of itself, however far out."""
    expected = stats.t.sf(t, dof)
    assert student.t_above(t, dof) == pytest.approx(expected, rel=1e-11, abs=1e-300)
    assert student.t_below(-t, dof) == pytest.approx(expected, rel=1e-11, abs=1e-300)


@given(st.floats(-40.0, 40.0), dofs)
def test_below_and_above_make_one(t: float, dof: float) -> None:
    """Nothing is lost between the two sides."""
    assert student.t_below(t, dof) + student.t_above(t, dof) == pytest.approx(1.0, abs=1e-13)


@given(st.floats(-20.0, 20.0), st.floats(0.0, 20.0), dofs)
def test_between(low: float, width: float, dof: float) -> None:
    """An interval agrees with scipy's cumulative distribution."""
    expected = stats.t.cdf(low + width, dof) - stats.t.cdf(low, dof)
    assert student.t_between(low, low + width, dof) == pytest.approx(expected, abs=1e-12)


@given(st.floats(-30.0, 30.0), dofs)
def test_density(t: float, dof: float) -> None:
    """The density agrees with scipy."""
    assert student.t_density(t, dof) == pytest.approx(stats.t.pdf(t, dof), rel=1e-10)


@given(st.floats(0.51, 0.9999), st.floats(1.0, 5000.0))
def test_quantile(probability: float, dof: float) -> None:
    """The quantile agrees with scipy."""
    expected = stats.t.ppf(probability, dof)
    assert student.t_quantile(probability, dof) == pytest.approx(expected, rel=1e-9)


# probability, degrees of freedom, quantile: any printed table of Student's t.
TABLE = [(0.975, 10.0, 2.228), (0.975, 20.0, 2.086), (0.975, 3.0, 3.182), (0.95, 5.0, 2.015)]


@pytest.mark.parametrize(("probability", "dof", "quantile"), TABLE)
def test_printed_table(core: Core, probability: float, dof: float, quantile: float) -> None:
    """Both Pythons give the printed quantiles."""
    answer = core("student", "t_quantile", probability, dof)
    assert answer == {"value": pytest.approx(quantile, abs=5e-4)}


@given(st.floats(0.05, 200.0), st.floats(0.05, 200.0), st.floats(0.0, 1.0))
def test_incomplete_beta(a: float, b: float, x: float) -> None:
    """The incomplete beta function agrees with scipy."""
    expected = special.betainc(a, b, x)
    assert student.incomplete_beta(a, b, x, 1.0 - x) == pytest.approx(expected, abs=1e-11)


@given(st.floats(-8.0, 30.0))
def test_normal_tail(z: float) -> None:
    """The normal tail agrees with scipy to 1e-12 of itself."""
    assert student.normal_above(z) == pytest.approx(stats.norm.sf(z), rel=1e-12)


@given(st.floats(-10.0, 10.0), st.floats(0.0, 10.0))
def test_normal_between(low: float, width: float) -> None:
    """A normal interval agrees with scipy and is never negative."""
    found = student.normal_between(low, low + width)
    expected = stats.norm.cdf(low + width) - stats.norm.cdf(low)
    assert found == pytest.approx(expected, abs=1e-13)
    assert found >= 0.0


class TestWithin:
    """The finite sum for even degrees of freedom."""

    @pytest.mark.parametrize("dof", [2, 4, 8, 20, 40])
    def test_is_scipys_distribution(self, core: Core, dof: int) -> None:
        """Every interval to 1e-14."""
        for low, high in ((-1.04, 1.04), (-3.0, 0.2), (0.0, 0.0), (2.5, 9.0), (-40.0, -7.0)):
            answer = core("student", "t_within", low, high, dof)
            expected = stats.t.cdf(high, dof) - stats.t.cdf(low, dof)
            assert answer == {"value": pytest.approx(expected, abs=1e-14)}
