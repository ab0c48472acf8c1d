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


def chances(vault: NewVault, low_um: float, high_um: float) -> tuple[float, float, float]:
    """Return the probabilities below, inside and above the window [um]."""
    if vault.sd_um == 0.0:
        below, above = vault.mean_um < low_um, vault.mean_um > high_um
        return (1.0 if below else 0.0, 0.0 if below or above else 1.0, 1.0 if above else 0.0)
    z_low = (low_um - vault.mean_um) / vault.sd_um
    z_high = (high_um - vault.mean_um) / vault.sd_um
    return (normal_above(-z_low), normal_between(z_low, z_high), normal_above(z_high))
