"""An arch that cannot be stretched: the lens as a strip bent between the two sides of the sulcus.

An upper bound of how much vault a longer lens can gain, and never a predictor: the sulcus gives
way, the feet tilt, and published slopes are a quarter to under a half of this one.
"""

import math

from scipy import optimize


def sagitta_mm(arc_mm: float, chord_mm: float) -> float:
    """Return the height of a circular arc over its chord, both in millimetres, the arc longer.

    The half angle solves ``sin(x) / x = chord / arc``.
    """
    half = optimize.brentq(lambda x: math.sin(x) / x - chord_mm / arc_mm, 1e-6, math.pi)
    radius_mm = arc_mm / (2.0 * half)
    return radius_mm * (1.0 - math.cos(half))


def slope(arc_mm: float, chord_mm: float) -> float:
    """Return the millimetres of height that a millimetre of arc adds, by central difference."""
    step_mm = 1e-4
    higher, lower = (sagitta_mm(arc_mm + way * step_mm, chord_mm) for way in (1, -1))
    return (higher - lower) / (2.0 * step_mm)
