"""Vault after an exchange."""

import numpy as np
import pytest

from tests.core_runtime import Core
from webapp.core import exchange
from webapp.core.exchange import Belief

BELIEF = Belief(560.0, 176.0, 0.85, 550.0, 160.0)


def test_is_the_conditional_normal() -> None:
    """Mean and SD agree with 200,000 simulated eyes seen at 1300 um, exchanged 1 mm shorter."""
    generator = np.random.default_rng(1)
    size = 200_000
    own = 560.0 + 176.0 * generator.multivariate_normal([0, 0], [[1, 0.85], [0.85, 1]], size)
    # Regression of the second vault on the first is exact for a normal pair.
    slope = np.cov(own.T)[0, 1] / np.var(own[:, 0])
    rest = own[:, 1] - slope * (own[:, 0] - 560.0) - 560.0
    new = 560.0 + slope * (1300.0 - 560.0) + rest - generator.normal(550.0, 160.0, size)
    found = exchange.vault_after_exchange(BELIEF, 1300.0, -1.0)
    assert found.mean_um == pytest.approx(new.mean(), abs=4.0)
    assert found.sd_um == pytest.approx(new.std(), abs=2.0)


def test_same_length_keeps_the_eyes_own_part(core: Core) -> None:
    """560 + 0.85 x 740 = 1189 um, 176 x root(1 - 0.85^2) = 92.7 um (by hand)."""
    answer = core("exchange", "vault_after_exchange", ["Belief", list(BELIEF)], 1300.0, 0.0)
    assert answer == {"value": [0.0, pytest.approx(1189.0), pytest.approx(92.71, abs=0.01)]}


def test_chances_make_one() -> None:
    """Below, inside and above are all there is, also far from the window."""
    for change_mm in (-3.0, -1.0, 0.0, 2.0):
        new = exchange.vault_after_exchange(BELIEF, 1300.0, change_mm)
        low, inside, high = exchange.chances(new, 250.0, 750.0)
        assert low + inside + high == pytest.approx(1.0, abs=1e-12)
        assert min(low, inside, high) >= 0.0


@pytest.mark.parametrize(
    ("vault_um", "expected"), [(249.0, (1, 0, 0)), (250.0, (0, 1, 0)), (751.0, (0, 0, 1))]
)
def test_no_spread_at_all(vault_um: float, expected: tuple[float, float, float]) -> None:
    """Without any uncertainty the chances are 0 or 1."""
    assert exchange.chances(exchange.NewVault(0.0, vault_um, 0.0), 250.0, 750.0) == expected
