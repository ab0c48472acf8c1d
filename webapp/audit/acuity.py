"""Acuity on the logMAR scale, and the two indices that compare acuity after surgery with before.

Sources: logMAR is the logarithm of the smallest angle read, decimal acuity its reciprocal (Bailey &
Lovie 1976, Am J Optom Physiol Opt 53:740, from memory); counting fingers and hand movements as
measured by Lange 2009, Graefes Arch Clin Exp Ophthalmol 247:137 (abstract read); efficacy and
safety index as the usual standard graphs define them (from memory).
"""

import math

from webapp.core.errors import BadInput, require

LOWEST_DECIMAL, HIGHEST_DECIMAL = 0.001, 4.0
# What stands for a word on the chart's scale [logMAR].
COUNTING_FINGERS = "CF"
HAND_MOVEMENTS = "HM"
LOGMAR_OF_WORDS = {COUNTING_FINGERS: 1.98, HAND_MOVEMENTS: 2.28}


def logmar(acuity: float | str) -> float:
    """Return an acuity as logMAR; less is better.

    Args:
        acuity: decimal, 0.001 to 4, or the word "CF" (counting fingers) or "HM" (hand movements).

    Raises:
        BadInput: another word, or a decimal outside the range. Perception of light is none.

    Example: 0.5 is 0.301 and 1.25 is -0.097.
    """
    if isinstance(acuity, str):
        if acuity not in LOGMAR_OF_WORDS:
            raise BadInput("acuity", "acuity must be a decimal, CF or HM; light has no logMAR")
        return LOGMAR_OF_WORDS[acuity]
    require("acuity", acuity, LOWEST_DECIMAL, HIGHEST_DECIMAL, "")
    return 0.0 - math.log10(acuity)


def decimal(logmar_value: float) -> float:
    """Return the decimal acuity of a logMAR; of a mean logMAR it is the geometric mean."""
    return math.pow(10.0, -logmar_value)


def efficacy_index(uncorrected_after: list[float], corrected_before: list[float]) -> float:
    """Return mean uncorrected acuity after surgery over mean corrected acuity before it.

    It is the ratio of the two means, not the mean of the eyes' ratios.

    Args:
        uncorrected_after: decimal acuity of each eye after surgery, without glasses.
        corrected_before: decimal acuity of the same eyes before surgery, best corrected.

    Raises:
        BadInput: no eyes, lists of different eyes, or a decimal outside the range.
    """
    return ratio_of_means("uncorrected_after", uncorrected_after, corrected_before)


def safety_index(corrected_after: list[float], corrected_before: list[float]) -> float:
    """Return mean best corrected acuity after surgery over that before it, both decimal.

    Raises: as ``efficacy_index``.
    """
    return ratio_of_means("corrected_after", corrected_after, corrected_before)


def ratio_of_means(field: str, after: list[float], before: list[float]) -> float:
    """Return the mean of the acuities after surgery over the mean before. Raises: BadInput."""
    if not before or len(after) != len(before):
        raise BadInput(field, field + " must have one acuity for each eye measured before")
    for name, values in ((field, after), ("corrected_before", before)):
        for value in values:
            require(name, value, LOWEST_DECIMAL, HIGHEST_DECIMAL, "")
    return math.fsum(after) / math.fsum(before)
