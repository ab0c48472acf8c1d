"""Astigmatism intended and achieved, compared as vectors at the corneal plane.

Source: Alpins 1993, J Cataract Refract Surg 19:524 and 2001, 27:31 (from memory).
"""

import math
from collections import namedtuple

from webapp.core.optics import PowerVector, astigmatism, at_cornea, subtracted

# Sizes of whole cylinders [D]; the index and the angle are None where they mean nothing.
Change = namedtuple(
    "Change",
    (
        "target_d",
        "achieved_d",
        "difference_d",
        "correction_index",
        "magnitude_error_d",
        "angle_error_deg",
    ),
)

# Below this intended change a ratio or an angle is noise (common practice).
SMALLEST_TARGET_D = 0.25


def change(
    before: PowerVector, after: PowerVector, target: PowerVector, vertex_mm: float
) -> Change:
    """Return intended, achieved and missed change of astigmatism [D] at the cornea.

    Args:
        before: spectacle refraction before [D].
        after: spectacle refraction after [D].
        target: spectacle refraction that was aimed at [D].
        vertex_mm: vertex distance of all three [mm].

    Example: -9.00 -2.50 x 15 to +0.25 -0.50 x 30 at 12 mm: 1.983 intended, 1.570 achieved.
    """
    start = astigmatism_at_cornea(before, vertex_mm)
    intended = subtracted(start, astigmatism_at_cornea(target, vertex_mm))
    achieved = subtracted(start, astigmatism_at_cornea(after, vertex_mm))
    target_d = 2.0 * astigmatism(intended)
    achieved_d = 2.0 * astigmatism(achieved)
    means_something = target_d >= SMALLEST_TARGET_D
    return Change(
        target_d,
        achieved_d,
        2.0 * astigmatism(subtracted(intended, achieved)),
        achieved_d / target_d if means_something else None,
        achieved_d - target_d,
        angle_error(intended, achieved) if means_something and achieved_d > 0.0 else None,
    )


def angle_error(intended: PowerVector, achieved: PowerVector) -> float:
    """Return how far the achieved axis lies counter-clockwise of the intended one [deg]."""
    cosine = intended.j0_d * achieved.j0_d + intended.j45_d * achieved.j45_d
    sine = intended.j0_d * achieved.j45_d - intended.j45_d * achieved.j0_d
    return math.degrees(math.atan2(sine, cosine)) / 2.0


def astigmatism_at_cornea(refraction: PowerVector, vertex_mm: float) -> PowerVector:
    """Return only the astigmatism [D] of a spectacle refraction as it acts at the cornea."""
    corneal = at_cornea(refraction, vertex_mm)
    return PowerVector(0.0, corneal.j0_d, corneal.j45_d)
