"""Chances and costs of each length, against numerical integration."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from webapp.core import lens_length
from webapp.core.lens_length import LossWeights, Option, Window
from webapp.core.student import t_above
from webapp.core.vault import Prediction

WINDOW = Window(250.0, 750.0)
WEIGHTS = LossWeights(2.0, 1.0)


def promise(mean_um: float, scale_um: float = 110.0, dof: float = 20.0) -> Option:
    """Return the option of a prediction in the usual window."""
    return lens_length.option(12.5, Prediction(mean_um, scale_um, dof), WINDOW, WEIGHTS)


class TestOption:
    """One length."""

    @given(st.floats(-500.0, 2000.0), st.floats(10.0, 500.0), st.floats(2.0, 200.0))
    def test_chances_make_one(self, mean_um: float, scale_um: float, dof: float) -> None:
        """Too low, inside and too high are all there is."""
        found = promise(mean_um, scale_um, dof)
        assert found.p_low + found.p_in + found.p_high == pytest.approx(1.0, abs=1e-12)
        assert min(found.p_low, found.p_in, found.p_high) >= 0.0

    @pytest.mark.parametrize("mean_um", [100.0, 315.0, 500.0, 900.0])
    def test_loss_is_the_integral(self, mean_um: float) -> None:
        """The closed form equals numerical integration of the cost over the density."""
        found = promise(mean_um)
        curve = stats.t(20.0, mean_um, 110.0)
        low, _ = integrate.quad(lambda v: (250.0 - v) * curve.pdf(v), -8000.0, 250.0, limit=500)
        high, _ = integrate.quad(lambda v: (v - 750.0) * curve.pdf(v), 750.0, 8000.0, limit=500)
        assert found.loss_um == pytest.approx(2.0 * low + high, rel=1e-6)

    def test_interval_holds_95_percent(self) -> None:
        """Half of what is missing lies on each side."""
        found = promise(500.0)
        curve = stats.t(20.0, 500.0, 110.0)
        assert curve.cdf(found.low95_um) == pytest.approx(0.025)
        assert curve.cdf(found.high95_um) == pytest.approx(0.975)

    @given(st.floats(-40.0, 40.0), st.floats(1.5, 5000.0))
    def test_expected_excess_is_never_negative(self, z: float, dof: float) -> None:
        """Far out, where its terms cancel, the excess is nothing, not less than nothing."""
        excess = lens_length.mean_excess(z, t_above(z, dof), dof)
        other = lens_length.mean_excess(-z, t_above(-z, dof), dof)
        assert excess >= 0.0
        assert excess - other == pytest.approx(-z, rel=1e-9, abs=1e-9)


def at(length_mm: float, p_in: float, loss_um: float) -> Option:
    """Return an option of which only the chance inside and the loss matter."""
    return Option(length_mm, Prediction(0.0, 1.0, 9.0), 0.0, 0.0, 0.0, p_in, 0.0, loss_um)


class TestChoose:
    """Which length is best."""

    def test_probability_and_loss_may_disagree(self) -> None:
        """Both winners are named."""
        choice = lens_length.choose([at(12.5, 0.70, 30.0), at(12.75, 0.74, 42.0)])
        assert choice == (12.75, 12.5, False)

    @pytest.mark.parametrize(("rival", "is_separable"), [(0.74, True), (0.76, False)])
    def test_a_lead_of_five_hundredths_is_clear(self, rival: float, is_separable: bool) -> None:
        """0.80 is clear of 0.74 and not of 0.76."""
        choice = lens_length.choose([at(12.5, rival, 9.0), at(12.75, 0.80, 5.0)])
        assert choice.is_separable is is_separable

    def test_equal_options(self) -> None:
        """Of equals, also but for the last bit, the first is named; they are not separable."""
        last_bit = 2.0**-52
        for other in (0.0, last_bit, -last_bit):
            pair = [at(12.5, 0.8, 5.0), at(12.75, 0.8 + other, 5.0 - 8 * other)]
            assert lens_length.choose(pair) == (12.5, 12.5, False)
            assert lens_length.choose([pair[1], pair[0]]) == (12.75, 12.75, False)
        choice = lens_length.choose([at(12.5, 0.8, 5.0), at(12.75, 0.8, 5.0)])
        assert choice == (12.5, 12.5, False)

    def test_one_length(self) -> None:
        """A single length has no rival."""
        assert lens_length.choose([at(12.5, 0.3, 5.0)]) == (12.5, 12.5, True)
