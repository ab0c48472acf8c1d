"""Vault after a lens is exchanged for another length, from what the eye showed with the old one."""

import math
from collections import namedtuple

from webapp.core.student import normal_above, normal_between

# A normal distribution of the vault expected with the new length [um].
NewVault = namedtuple("NewVault", ("length_change_mm", "mean_um", "sd_um"))
# predicted: for the old lens [um], with its SD; slope: um of vault per mm of length, with its SD.
Belief = namedtuple(
    "Belief",
    ("predicted_um", "predicted_sd_um", "correlation", "slope_um_per_mm", "slope_sd_um_per_mm"),
)


def vault_after_exchange(belief: Belief, observed_um: float, length_change_mm: float) -> NewVault:
    """Return the vault expected [um] after a change of length, the rest of the eye unchanged.

    The part of the miss that belongs to the eye stays; the part that was chance does not.

    Args:
        belief: what was believed before surgery; ``correlation`` is the share of the miss that
            the same eye repeats (0.85 is assumed elsewhere: no published value).
        observed_um: vault seen with the old lens [um].
        length_change_mm: new length minus old [mm].

    Source: normal conditional distribution, derived; the slope is smaller at high vault, so a
    large shortening is optimistic.
    Example: predicted 560 +- 176, seen 1300, 550 +- 160 um/mm, 1 mm shorter: 639 +- 185.
    """
    kept = belief.correlation
    mean_um = (
        belief.predicted_um
        + belief.slope_um_per_mm * length_change_mm
        + kept * (observed_um - belief.predicted_um)
    )
    chance = belief.predicted_sd_um * belief.predicted_sd_um * (1.0 - kept * kept)
    slope_part = belief.slope_sd_um_per_mm * length_change_mm
    return NewVault(length_change_mm, mean_um, math.sqrt(chance + slope_part * slope_part))


def mean_loss(
    vault: NewVault, low_um: float, high_um: float, low_cost: float, high_cost: float
) -> float:
    """Return the expected cost [um] of a vault outside the window.

    Args:
        vault: expected; its spread may be zero.
        low_um: lower end of the window.
        high_um: upper end.
        low_cost: of each um below.
        high_cost: of each um above.

    Source: mean excess of a normal distribution, s (phi(z) - z Q(z)), by parts (derived).
    Example: 639 +- 185 um, 250 to 750 um, 2 and 1: 34 um.
    """
    return low_cost * mean_above(low_um - vault.mean_um, vault.sd_um) + high_cost * mean_above(
        vault.mean_um - high_um, vault.sd_um
    )


def mean_above(over_um: float, sd_um: float) -> float:
    """Return the mean of what a normal value of this mean and SD [um] lies above zero by."""
    if sd_um == 0.0:
        return over_um if over_um > 0.0 else 0.0
    z = -over_um / sd_um
    density = math.exp(-z * z / 2.0) / math.sqrt(2.0 * math.pi)
    excess = sd_um * (density - z * normal_above(z))
    # Far out the two terms cancel to noise of either sign.
    return excess if excess > 0.0 else 0.0


def chances(vault: NewVault, low_um: float, high_um: float) -> tuple[float, float, float]:
    """Return the probabilities below, inside and above the window [um]."""
    if vault.sd_um == 0.0:
        below, above = vault.mean_um < low_um, vault.mean_um > high_um
        return (1.0 if below else 0.0, 0.0 if below or above else 1.0, 1.0 if above else 0.0)
    z_low = (low_um - vault.mean_um) / vault.sd_um
    z_high = (high_um - vault.mean_um) / vault.sd_um
    return (normal_above(-z_low), normal_between(z_low, z_high), normal_above(z_high))
