"""Paraxial rays through toric surfaces by 4 x 4 transfer matrices: nothing shared with the core.

A ray is (y, n x angle), each with two components. A surface of power matrix F is [[I, 0], [-F, I]]
and a gap of t metres in index n is [[I, t/n I], [0, I]]. Source: Keating 1981, Am J Optom Physiol
Opt 58:810, and Harris 1996 for the 4 x 4 form (from memory).
"""

import numpy as np
from numpy.typing import NDArray

Matrix = NDArray[np.float64]
UNIT = np.eye(2)


def power(sphere_d: float, cylinder_d: float = 0.0, axis_deg: float = 180.0) -> Matrix:
    """Return the power matrix [D] of a spherocylinder, turned into place by a rotation matrix."""
    angle = np.radians(axis_deg)
    axis = np.array([np.cos(angle), np.sin(angle)])
    across = np.array([-np.sin(angle), np.cos(angle)])
    strong_d = sphere_d + cylinder_d
    return sphere_d * np.outer(axis, axis) + strong_d * np.outer(across, across)


def surface(power_d: Matrix) -> Matrix:
    """Return the transfer matrix of a refracting surface or thin lens."""
    return np.block([[UNIT, np.zeros((2, 2))], [-power_d, UNIT]])


def gap(length_mm: float, index: float) -> Matrix:
    """Return the transfer matrix of a gap."""
    return np.block([[UNIT, length_mm / 1000.0 / index * UNIT], [np.zeros((2, 2)), UNIT]])


def chain(*parts: Matrix) -> Matrix:
    """Return the matrix of parts met in this order."""
    total = np.eye(4)
    for part in parts:
        total = part @ total
    return total


def refraction(system: Matrix) -> Matrix:
    """Return the thin lens [D] that, before a system ending at the retina, makes a far point clear.

    A parallel ray of height y leaves the lens as (y, -R y) and must reach the retina at height 0:
    A y - B R y = 0.
    """
    return np.linalg.inv(system[:2, 2:]) @ system[:2, :2]


def mean_j0_j45(matrix: Matrix) -> tuple[float, float, float]:
    """Return the power vector [D] of a power matrix."""
    return (
        float(matrix[0, 0] + matrix[1, 1]) / 2.0,
        float(matrix[0, 0] - matrix[1, 1]) / 2.0,
        float(matrix[0, 1] + matrix[1, 0]) / 2.0,
    )


def cardinal_points(system: Matrix, length_mm: float, index: float) -> dict[str, float]:
    """Return power [D] and cardinal points [mm from the first surface] of a round system."""
    a, d = system[0, 0], system[2, 2]
    power_d = -system[2, 0]
    first = 1000.0 * (1.0 - d) / power_d
    second = length_mm + 1000.0 * index * (a - 1.0) / power_d
    nodal = 1000.0 * (index - 1.0) / power_d
    return {
        "power": float(power_d),
        "P": float(first),
        "P'": float(second),
        "F": float(first - 1000.0 / power_d),
        "F'": float(second + 1000.0 * index / power_d),
        "N": float(first + nodal),
        "N'": float(second + nodal),
    }


def spherical_surface(radius_mm: float, before: float, after: float) -> Matrix:
    """Return the transfer matrix of a spherical surface between two indices."""
    return surface((after - before) * 1000.0 / radius_mm * UNIT)


def layered(radii_mm: list[float], indices: list[float], gaps_mm: list[float]) -> Matrix:
    """Return the matrix of spherical surfaces with even gaps between them."""
    parts = []
    before = 1.0
    for place, (radius_mm, after) in enumerate(zip(radii_mm, indices, strict=True)):
        parts.append(spherical_surface(radius_mm, before, after))
        if place < len(gaps_mm):
            parts.append(gap(gaps_mm[place], after))
        before = after
    return chain(*parts)


def gradient(index: tuple[float, float, float], radial: float, length_mm: float) -> Matrix:
    """Return the matrix of a gradient-index gap, by 2000 thin slabs.

    The index is index[0] + index[1] z + index[2] z^2 + radial r^2, z and r in mm; a slab of
    thickness h refracts by -2 radial h.
    """
    slabs = 2000
    h_mm = length_mm / slabs
    total = np.eye(4)
    for place in range(slabs):
        z_mm = (place + 0.5) * h_mm
        local = index[0] + index[1] * z_mm + index[2] * z_mm * z_mm
        half = gap(h_mm / 2.0, local)
        total = chain(total, half, surface(-2000.0 * radial * h_mm * UNIT), half)
    return total
