"""What is believed about vault before a centre has eyes of its own, by the diameter measured.

No published equation may be used as it stands: three of them differ by 500 um on one eye. So the
default is a broad prior, one for each kind of diameter, and a centre's own outcomes sharpen it.
"""

import math

from webapp.core.errors import BadInput
from webapp.core.vault import Centre, Model, Prior, before_any_eye

# Slope: 375, 657 and 661 um per mm of length in three published regressions (n 72, Front Med 2026
# 1762551; n 83, BMC Ophthalmol 2021 01963-x; Igarashi 2019 JCRS 45:1099, from memory): mean 565,
# SD 164. Rounded here to 550 and 160.
SLOPE_UM_PER_MM, SLOPE_SD_UM_PER_MM = 550.0, 160.0

# A natural lens that rises 1 mm more takes up vault: -432 um per mm of lens thickness (BMC
# Ophthalmol 2021 01963-x), rounded, with a wide SD because thickness is not rise (assumed).
RISE_SLOPE_UM_PER_MM, RISE_SLOPE_SD_UM_PER_MM = -400.0, 300.0

# Vault of an eye whose lens exceeds its diameter by the centring below: 477 to 556 um in series of
# 200 and 118 eyes (PMC7765914; Front Med 2023 1132102). Rounded; SD covers centre and device.
VAULT_UM, VAULT_SD_UM = 500.0, 150.0

# Height of the lens pole in front of the angle recesses at which the effect is counted from zero
# (common practice).
RISE_CENTRE_MM = 0.3

# Prior weight of the error size: worth eight eyes (assumed).
A0 = 4.0

# Residual SD of an honest external validation with sulcus diameters: 176.2 um (925 eyes, BMC
# Ophthalmol 2022;22:463), rounded.
SULCUS_SIGMA_UM = 175.0

# The same with and without a lens rise, on purpose. A slope of -400 um per mm and rises spread by
# 0.23 mm (67 people, J Optom 2022;15:88, abstract read) make 92 um of spread the rise's own: 198 um
# without it, the root of 175^2 + 92^2, or 149 um with it. But the 925 eyes behind 176 um had lens
# thickness known, not rise, and other external validations lie at 105 to 180 um: no published pair
# of residuals shows what a rise takes away, and a slope with an SD of 300 is no ground for a
# narrower promise. Own eyes decide: a centre's model with the rise in it finds its own residual.

# White to white: the sulcus is wider by 0.48 +- 0.28 mm (273 short-sighted eyes), so the centring
# is 0.5 + 0.48 and the error gains 550 x 0.28: the root of 175^2 + 154^2 is 233 (computed).
WHITE_TO_WHITE_SIGMA_UM = 233.0

# Angle widths: error assumed between the two until a centre has its own eyes (common practice).
ANGLE_SIGMA_UM = 200.0

# Random error of one reading of a diameter, one SD; it is part of the residual SDs above, and the
# mean of several readings has less of it. Sulcus: within-eye repeatability 0.23 mm (Reinstein 2009,
# PMC2649749, abstract read). White-to-white: 95 % limits of agreement between two devices are a
# median 0.65 mm wide (81 pairs, J Refract Surg 2024;40:e182, abstract read), which is 0.65 / 3.92
# for a difference and 0.117 for one reading: at most that for repeats on one device.
READING_ERROR_MM = {"sulcus_to_sulcus": 0.23, "white_to_white": 0.117}

DIAMETER_KINDS = ("sulcus_to_sulcus", "angle_to_angle", "angle_width", "white_to_white")


def centring_mm(diameter_kind: str) -> float:
    """Return how much longer than the diameter [mm] a lens is that gives the prior's vault."""
    return 0.98 if diameter_kind == "white_to_white" else 0.5


def error_sd(diameter_kind: str, readings: int = 1) -> float:
    """Return the prior residual SD [um] for a kind of diameter that is the mean of ``readings``.

    Example: a sulcus scan 175 um, the mean of two 151 um.
    """
    if diameter_kind == "white_to_white":
        once_um = WHITE_TO_WHITE_SIGMA_UM
    else:
        once_um = SULCUS_SIGMA_UM if diameter_kind == "sulcus_to_sulcus" else ANGLE_SIGMA_UM
    random_um = SLOPE_UM_PER_MM * READING_ERROR_MM.get(diameter_kind, 0.0)
    averaged_out = random_um * random_um * (1.0 - 1.0 / readings)
    return math.sqrt(once_um * once_um - averaged_out)


def default_prior(diameter_kind: str, has_lens_rise: bool, readings: int = 1) -> Prior:
    """Return the default prior; the lens rise is a feature only where it is measured.

    Args:
        diameter_kind: one of ``DIAMETER_KINDS``.
        has_lens_rise: whether this eye's lens rise is known.
        readings: how many readings the diameter is the mean of, 1 or more.

    Raises:
        BadInput: the kind of diameter is not one of ``DIAMETER_KINDS``.
    """
    if diameter_kind not in DIAMETER_KINDS:
        raise BadInput("diameter_kind", "say which diameter was measured; they are not alike")
    sigma0_um = error_sd(diameter_kind, readings)
    mean = [VAULT_UM, SLOPE_UM_PER_MM]
    sd = [VAULT_SD_UM, SLOPE_SD_UM_PER_MM]
    if has_lens_rise:
        mean = mean + [RISE_SLOPE_UM_PER_MM]
        sd = sd + [RISE_SLOPE_SD_UM_PER_MM]
    return Prior(mean, sd, sigma0_um, A0, (A0 - 1.0) * sigma0_um * sigma0_um)


def default_model(diameter_kind: str, has_lens_rise: bool, readings: int = 1) -> Model:
    """Return the default model of a kind of diameter, before any eye of the centre.

    Args: as ``default_prior``.
    """
    features = ["one", "excess_mm"] + (["lens_rise_mm"] if has_lens_rise else [])
    prior = default_prior(diameter_kind, has_lens_rise, readings)
    return before_any_eye(prior, features, Centre(centring_mm(diameter_kind), RISE_CENTRE_MM))
