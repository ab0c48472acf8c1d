"""Random toric eyes with a thick cornea and thick lenses, traced by 4 x 4 matrices.

Cornea, natural lens and indices after Le Grand's full eye (radii 7.8, 6.5, 10.2, -6 mm; indices
1.3771, 1.3374, 1.42, 1.336; from memory of Atchison & Smith), the cornea's curvature, toricity and
thickness, the chamber and the vertex distance drawn at random, astigmatism of the natural lens as
a thin toric surface at its front. The eye is made long or short until it has the refraction drawn.
"""

from typing import NamedTuple

import numpy as np

from tests.oracles import ray_matrix
from tests.oracles.ray_matrix import Matrix
from webapp.core import lens_power
from webapp.core.lens_power import Eye
from webapp.core.optics import PLANO, PowerVector

CORNEA, AQUEOUS, NATURAL, VITREOUS, IMPLANT = 1.3771, 1.3374, 1.42, 1.336, 1.45
IMPLANT_MM, IMPLANT_BACK_RADIUS_MM = 0.15, 9.0


class ThickEye(NamedTuple):
    """One eye: what is measured of it, and the pieces that light passes."""

    eye: Eye
    """As the formula takes it."""
    to_chamber: Matrix
    """Vertex distance and cornea."""
    behind: Matrix
    """From the natural lens to the retina."""
    depth_mm: float
    """From the back of the cornea to the natural lens."""
    vault_mm: float


def thick_eye(generator: np.random.Generator) -> ThickEye | None:
    """Return one eye from -20 to +6 D, None when the draw falls outside that."""
    draw = generator.uniform
    vertex_mm, depth_mm, vault_mm = draw(10, 15), draw(2.8, 3.6), draw(0.25, 0.75)
    cornea, reading, thickness_mm = thick_cornea(generator)
    to_chamber = ray_matrix.chain(ray_matrix.gap(vertex_mm, 1.0), cornea)
    natural = ray_matrix.chain(
        ray_matrix.surface(ray_matrix.power(draw(-0.5, 0.5), draw(-1.5, 0), draw(0, 180))),
        ray_matrix.spherical_surface(10.2, AQUEOUS, NATURAL),
        ray_matrix.gap(4.0, NATURAL),
        ray_matrix.spherical_surface(-6.0, NATURAL, VITREOUS),
    )
    worn = ray_matrix.surface(ray_matrix.power(draw(-20, 6)))
    before = ray_matrix.chain(worn, to_chamber, ray_matrix.gap(depth_mm, AQUEOUS), natural)
    vitreous_mm = -1000.0 * VITREOUS * before[:2, :2].trace() / before[2:, :2].trace()
    behind = ray_matrix.chain(natural, ray_matrix.gap(vitreous_mm, VITREOUS))
    naked = ray_matrix.refraction(
        ray_matrix.chain(to_chamber, ray_matrix.gap(depth_mm, AQUEOUS), behind)
    )
    vector = PowerVector(*ray_matrix.mean_j0_j45(naked))
    if not -20.0 <= vector.mean_d <= 6.0:
        return None
    position_mm = lens_power.lens_position(depth_mm + thickness_mm, 1000.0 * vault_mm)
    eye = Eye(vector, vertex_mm, reading, PLANO, position_mm)
    return ThickEye(eye, to_chamber, behind, depth_mm, vault_mm)


def thick_cornea(generator: np.random.Generator) -> tuple[Matrix, PowerVector, float]:
    """Return a cornea, what keratometry with index 1.3375 reads of its front, and its thickness."""
    draw = generator.uniform
    reading = ray_matrix.power(draw(41.2, 46.2), draw(-3.0, 0.0), draw(0.0, 180.0))
    thickness_mm = draw(0.48, 0.58)
    front = reading * (1000.0 * (CORNEA - 1.0) / 337.5)
    # The back is 0.83 of the front's radius, in both meridians.
    back = reading / 337.5 * (1000.0 * (AQUEOUS - CORNEA)) * (7.8 / 6.5)
    cornea = ray_matrix.chain(
        ray_matrix.surface(front), ray_matrix.gap(thickness_mm, CORNEA), ray_matrix.surface(back)
    )
    return cornea, PowerVector(*ray_matrix.mean_j0_j45(reading)), thickness_mm


def left_by_thick_lens(found: ThickEye) -> PowerVector:
    """Return the refraction [D] that remains with the formula's lens made as a thick one."""
    vector = lens_power.lens_for(found.eye, PLANO)
    wanted = np.array([
        [vector.mean_d + vector.j0_d, vector.j45_d],
        [vector.j45_d, vector.mean_d - vector.j0_d],
    ])  # fmt: skip
    back_d = (AQUEOUS - IMPLANT) * 1000.0 / IMPLANT_BACK_RADIUS_MM
    front = (wanted - back_d * np.eye(2)) / (1.0 - IMPLANT_MM / 1000.0 / IMPLANT * back_d)
    worn = ray_matrix.chain(
        found.to_chamber,
        ray_matrix.gap(found.depth_mm - found.vault_mm - IMPLANT_MM, AQUEOUS),
        ray_matrix.surface(front),
        ray_matrix.gap(IMPLANT_MM, IMPLANT),
        ray_matrix.surface(back_d * np.eye(2)),
        ray_matrix.gap(found.vault_mm, AQUEOUS),
        found.behind,
    )
    return PowerVector(*ray_matrix.mean_j0_j45(ray_matrix.refraction(worn)))
