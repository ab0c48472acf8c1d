"""Which lens in front of the natural lens an eye needs, and what refraction a given lens leaves.

Thin-lens, paraxial vergence with the aqueous between cornea and lens; every power is a power
vector, so oblique astigmatism is exact. Source of the scheme: van der Heijde 1988 and Holladay
1993, Am J Ophthalmol 116:63-66, for spheres (from memory); as matrices, Langenbucher, Szentmary,
Seitz 2007, Ophthalmic Physiol Opt 27:373 (abstract read).

Against rays through 10,000 toric eyes with a thick cornea and thick lenses it leaves within 0.10 D
from -20 to 0 D; long-sighted eyes up to +6 D are left short-sighted by up to 0.20 D (computed).
"""

import math
from collections import namedtuple

from webapp.core.errors import BadInput
from webapp.core.optics import (
    IDENTITY,
    PowerVector,
    added,
    at_cornea,
    at_spectacles,
    magnification,
    moved,
    sandwiched,
    squared,
    subtracted,
)
from webapp.core.units import AQUEOUS_INDEX

# refraction: spectacle plane [D]; cornea: keratometry before surgery [D]; cornea_change: planned
# change of it [D]; position_mm: corneal vertex to lens. Powers are PowerVectors.
Eye = namedtuple("Eye", ("refraction", "vertex_mm", "cornea", "cornea_change", "position_mm"))

# Change of the mean spectacle refraction [D] per 1 D of lens, 1 D of measured refraction,
# 100 um more vault, 1 mm more vertex distance and 1 D of keratometry.
Sensitivity = namedtuple(
    "Sensitivity", ("lens_d", "refraction_d", "vault_100um", "vertex_mm", "keratometry_d")
)


def depth_from_epithelium(depth_mm: float, measured_from: str, cct_um: float) -> float:
    """Return the chamber depth [mm] counted from the corneal front surface.

    Args:
        depth_mm: measured depth [mm].
        measured_from: ``endothelium`` or ``epithelium``; no default, because a forgotten
            corneal thickness leaves 0.1 to 0.5 D.
        cct_um: central corneal thickness [um].
    """
    if measured_from == "epithelium":
        return depth_mm
    if measured_from == "endothelium":
        return depth_mm + cct_um / 1000.0
    raise BadInput("from", "say whether the depth was measured from endothelium or epithelium")


def lens_position(depth_epithelium_mm: float, vault_um: float, offset_mm: float = 0.0) -> float:
    """Return the distance [mm] from the corneal vertex to the lens.

    Args:
        depth_epithelium_mm: chamber depth from the corneal front surface [mm].
        vault_um: gap between lens back surface and natural lens [um].
        offset_mm: how far in front of its back surface the lens acts [mm]; 0 by default.

    Raises:
        BadInput: the lens would lie in or in front of the cornea.

    Example: 3.74 mm and 500 um give 3.24 mm.
    """
    position_mm = depth_epithelium_mm - vault_um / 1000.0 - offset_mm
    if not position_mm > 0.0:
        raise BadInput("vault_um", "this vault is deeper than the chamber; check both and units")
    return position_mm


def corneal_change(flattening_d: float, meridian_deg: float) -> PowerVector:
    """Return the change of corneal power [D] made by an incision that flattens its meridian.

    Example: 0.23 D at 172 is M 0, J0 -0.110545, J45 0.031698 (centroid of Kamiya 2021, 121 eyes
    with a 3.0 mm temporal incision, 0.23 D steep at 82; abstract read).
    """
    angle = math.radians(2.0 * (meridian_deg % 180.0))
    half_d = flattening_d / 2.0
    return PowerVector(0.0, -half_d * math.cos(angle), -half_d * math.sin(angle))


def reduced_position(position_mm: float) -> float:
    """Return the position divided by the aqueous index [m]."""
    return position_mm / 1000.0 / AQUEOUS_INDEX


def vergence_needed(eye: Eye) -> PowerVector:
    """Return the vergence [D] that must reach the lens plane for this eye to see clearly."""
    corneal = at_cornea(eye.refraction, eye.vertex_mm)
    return moved(added(eye.cornea, corneal), reduced_position(eye.position_mm), "keratometry")


def vergence_supplied(eye: Eye, target: PowerVector) -> PowerVector:
    """Return the vergence [D] at the lens plane through the operated cornea with a target worn."""
    corneal = added(
        added(eye.cornea, eye.cornea_change), at_cornea(target, eye.vertex_mm, "target")
    )
    return moved(corneal, reduced_position(eye.position_mm), "keratometry")


def lens_for(eye: Eye, target: PowerVector) -> PowerVector:
    """Return the exact lens [D, in the aqueous] that leaves the target spectacle refraction.

    Example: -10 D at 12 mm, cornea 43.5 D, lens at 3.24 mm, target plano: -10.895 D.
    """
    return subtracted(vergence_needed(eye), vergence_supplied(eye, target))


def corneal_refraction_with(eye: Eye, lens: PowerVector, needed: PowerVector) -> PowerVector:
    """Return the corneal-plane refraction [D] that a lens leaves, from ``vergence_needed``."""
    left = moved(subtracted(needed, lens), -reduced_position(eye.position_mm), "lens")
    return subtracted(subtracted(left, eye.cornea), eye.cornea_change)


def refraction_with(eye: Eye, lens: PowerVector) -> PowerVector:
    """Return the spectacle refraction [D] that a lens leaves."""
    corneal = corneal_refraction_with(eye, lens, vergence_needed(eye))
    return at_spectacles(corneal, eye.vertex_mm, "lens")


def sensitivity(eye: Eye, lens: PowerVector) -> Sensitivity:
    """Return how the mean spectacle refraction answers to each input, the lens staying the same.

    Exact directional derivatives of the matrix formulas: a step X (I - d X)^-1 has derivative
    A H A along H, with A = (I - d X)^-1, and its own square along d.
    Scalar forms: Holladay 1993 differentiated; checked by finite differences.
    """
    reduced_m = reduced_position(eye.position_mm)
    vertex_m = eye.vertex_mm / 1000.0
    worn = magnification(eye.refraction, vertex_m)
    corneal = at_cornea(eye.refraction, eye.vertex_mm)
    inward = magnification(added(eye.cornea, corneal), reduced_m, "keratometry")
    needed = vergence_needed(eye)
    behind = subtracted(needed, lens)
    outward = magnification(behind, -reduced_m, "lens")
    left = corneal_refraction_with(eye, lens, needed)
    out = squared(magnification(left, -vertex_m, "lens"))

    per_needed = sandwiched(outward, squared(inward))
    per_refraction = sandwiched(outward, sandwiched(inward, squared(worn)))
    per_vertex = sandwiched(outward, sandwiched(inward, squared(corneal)))
    per_reduced = subtracted(
        sandwiched(outward, squared(needed)), squared(moved(behind, -reduced_m, "lens"))
    )
    # A change of position [mm] changes the reduced distance by 1 / (1000 n); more vault is nearer.
    return Sensitivity(
        -mean_of_product(out, squared(outward)),
        mean_of_product(out, per_refraction),
        -0.1 * mean_of_product(out, per_reduced) / 1000.0 / AQUEOUS_INDEX,
        mean_of_product(out, subtracted(per_vertex, squared(left))) / 1000.0,
        mean_of_product(out, subtracted(per_needed, IDENTITY)),
    )


def mean_of_product(one: PowerVector, other: PowerVector) -> float:
    """Return half the trace of a matrix product: the mean power of W H W from W squared and H."""
    return float(one.mean_d * other.mean_d + one.j0_d * other.j0_d + one.j45_d * other.j45_d)
