"""Thin-lens vergence: refractions as vectors that add, subtract and move between planes.

Conventions: powers in dioptres [D]; axis in degrees [deg] counter-clockwise from the horizontal as
the examiner faces the patient, 0 < axis <= 180 (ISO 8429, from memory); distances in metres [m]
where they are divided by a refractive index, else millimetres [mm].

A power vector (mean, J0, J45) *is* the symmetric power matrix
[[mean + J0, J45], [J45, mean - J0]], so matrix products are written on its three numbers.
"""

import math
from collections import namedtuple

from webapp.core.errors import BadInput

Refraction = namedtuple("Refraction", ("sphere_d", "cylinder_d", "axis_deg"))
PowerVector = namedtuple("PowerVector", ("mean_d", "j0_d", "j45_d"))

PLANO = PowerVector(0.0, 0.0, 0.0)
IDENTITY = PowerVector(1.0, 0.0, 0.0)

# Below this astigmatism a vector is a sphere: rounding noise must not be given an axis.
NO_CYLINDER_D = 1e-9


def power_vector(refraction: Refraction) -> PowerVector:
    """Return mean sphere, J0 and J45 [D], in which refractions add and subtract.

    Plus or minus cylinder may be given; an axis of 0 is 180.

    Source: Thibos, Wheeler, Horner 1997, Optom Vis Sci 74:367-375, M, J0, J45 (from memory).
    Example: -10.00 -2.50 x 20 is -11.25, 0.957556, 0.803485.
    """
    half_d = -refraction.cylinder_d / 2.0
    mean_d = refraction.sphere_d - half_d
    if half_d == 0.0:
        return PowerVector(mean_d, 0.0, 0.0)
    double_angle = math.radians(2.0 * (refraction.axis_deg % 180.0))
    return PowerVector(mean_d, half_d * math.cos(double_angle), half_d * math.sin(double_angle))


def axis_of(vector: PowerVector) -> float:
    """Return the minus-cylinder axis [deg], 0 < axis <= 180; 180 where there is no cylinder."""
    axis_deg = math.degrees(math.atan2(vector.j45_d, vector.j0_d)) / 2.0
    if astigmatism(vector) < NO_CYLINDER_D or abs(axis_deg) < 1e-9:
        return 180.0
    return axis_deg if axis_deg > 0.0 else axis_deg + 180.0


def astigmatism(vector: PowerVector) -> float:
    """Return half the size of the cylinder [D], never negative."""
    return math.sqrt(vector.j0_d * vector.j0_d + vector.j45_d * vector.j45_d)


def blur(vector: PowerVector) -> float:
    """Return the blur strength [D] of a refraction: the length of its power vector.

    Source: Thibos, Wheeler, Horner 1997, Optom Vis Sci 74:367-375 (from memory).
    """
    half_d = astigmatism(vector)
    return math.sqrt(vector.mean_d * vector.mean_d + half_d * half_d)


def refraction_of(vector: PowerVector) -> Refraction:
    """Return the minus-cylinder refraction of a power vector. Source: as ``power_vector``."""
    half_d = astigmatism(vector)
    if half_d < NO_CYLINDER_D:
        return Refraction(vector.mean_d, 0.0, 180.0)
    return Refraction(vector.mean_d + half_d, -2.0 * half_d, axis_of(vector))


def transposed(refraction: Refraction) -> Refraction:
    """Return the same refraction with the cylinder's sign changed and its axis turned by 90.

    Example: -4.50 +2.00 x 70 is -2.50 -2.00 x 160.
    """
    axis_deg = (refraction.axis_deg + 90.0) % 180.0
    return Refraction(
        refraction.sphere_d + refraction.cylinder_d,
        0.0 - refraction.cylinder_d,
        axis_deg if axis_deg > 0.0 else 180.0,
    )


def added(one: PowerVector, other: PowerVector) -> PowerVector:
    """Return the sum [D] of two powers in contact."""
    return PowerVector(one.mean_d + other.mean_d, one.j0_d + other.j0_d, one.j45_d + other.j45_d)


def subtracted(one: PowerVector, other: PowerVector) -> PowerVector:
    """Return ``one`` minus ``other`` [D]."""
    return PowerVector(one.mean_d - other.mean_d, one.j0_d - other.j0_d, one.j45_d - other.j45_d)


def squared(matrix: PowerVector) -> PowerVector:
    """Return the matrix product of a power with itself [D^2]."""
    half = astigmatism(matrix)
    return PowerVector(
        matrix.mean_d * matrix.mean_d + half * half,
        2.0 * matrix.mean_d * matrix.j0_d,
        2.0 * matrix.mean_d * matrix.j45_d,
    )


def sandwiched(outer: PowerVector, inner: PowerVector) -> PowerVector:
    """Return the matrix product outer x inner x outer, which is symmetric again."""
    square = outer.mean_d * outer.mean_d
    half_square = outer.j0_d * outer.j0_d + outer.j45_d * outer.j45_d
    cross = outer.j0_d * inner.j0_d + outer.j45_d * inner.j45_d
    along = 2.0 * (outer.mean_d * inner.mean_d + cross)
    return PowerVector(
        inner.mean_d * (square + half_square) + 2.0 * outer.mean_d * cross,
        (square - half_square) * inner.j0_d + along * outer.j0_d,
        (square - half_square) * inner.j45_d + along * outer.j45_d,
    )


def magnification(power: PowerVector, reduced_m: float, field: str = "refraction") -> PowerVector:
    """Return (I - reduced distance x power)^-1, the factor by which a step along the eye acts.

    Args:
        power: power or vergence where the step begins [D].
        reduced_m: distance toward the eye divided by the refractive index [m]; negative is away.
        field: the input to name if light would focus inside the step.

    Raises:
        BadInput: a meridian focuses within the step, so no power at its end has the same effect.
    """
    mean = 1.0 - reduced_m * power.mean_d
    j0, j45 = reduced_m * power.j0_d, reduced_m * power.j45_d
    size = math.sqrt(j0 * j0 + j45 * j45)
    if not mean - size > 1e-6:
        raise BadInput(field, "no lens can correct this eye: light focuses before the next plane")
    determinant = (mean - size) * (mean + size)
    return PowerVector(mean / determinant, j0 / determinant, j45 / determinant)


def moved(power: PowerVector, reduced_m: float, field: str = "refraction") -> PowerVector:
    """Return the power [D] that has the same effect ``reduced_m`` nearer the eye, axis unchanged.

    Args and Raises: as ``magnification``.

    Source: vergence F' = F (I - d F)^-1; Keating 1980, Am J Optom Physiol Opt 57:810 for the
    matrix form (from memory). Exact for thin lenses.
    Example: -10 D moved 0.012 m is -8.928571 D.
    """
    step = magnification(power, reduced_m, field)
    # (I - d F)^-1 F: with D the determinant of I - d F, the mean is (mean - d det F) / D.
    scale = step.mean_d * step.mean_d - step.j0_d * step.j0_d - step.j45_d * step.j45_d
    half = astigmatism(power)
    determinant = (power.mean_d - half) * (power.mean_d + half)
    return PowerVector(
        (power.mean_d - reduced_m * determinant) * scale, power.j0_d * scale, power.j45_d * scale
    )


def at_cornea(power: PowerVector, vertex_mm: float, field: str = "refraction") -> PowerVector:
    """Return a spectacle-plane power [D] as it acts at the cornea."""
    return moved(power, vertex_mm / 1000.0, field)


def at_spectacles(power: PowerVector, vertex_mm: float, field: str = "refraction") -> PowerVector:
    """Return a corneal-plane power [D] as it acts ``vertex_mm`` in front of the cornea."""
    return moved(power, -vertex_mm / 1000.0, field)


def corneal_power(flat_d: float, steep_d: float, steep_meridian_deg: float) -> PowerVector:
    """Return the corneal power [D] of two keratometry readings.

    The steep *power meridian* is given; as a plus cylinder its axis is the flat meridian.
    """
    return power_vector(Refraction(flat_d, steep_d - flat_d, steep_meridian_deg + 90.0))


def turned(power: PowerVector, turn_deg: float) -> PowerVector:
    """Return a lens turned counter-clockwise, seen facing the patient, by ``turn_deg`` [deg]."""
    angle = math.radians(2.0 * turn_deg)
    cosine, sine = math.cos(angle), math.sin(angle)
    return PowerVector(
        power.mean_d,
        power.j0_d * cosine - power.j45_d * sine,
        power.j0_d * sine + power.j45_d * cosine,
    )
