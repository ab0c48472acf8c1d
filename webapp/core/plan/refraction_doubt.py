"""How far the final refraction may be off: the error budget of one eye with one lens.

Each input's random error times its own closed-form sensitivity, added as squares. A refraction
read several times has its share divided by their number; nothing else changes with a repeat.
"""

import math
from collections import namedtuple

from webapp.core.lens_power import Eye, sensitivity
from webapp.core.optics import PowerVector
from webapp.core.vault import Prediction

# One manifest refraction, SD of its mean sphere [D]. Source: 95 % test-retest +-0.70 D between
# three examiners (86 people, Photonics 2024, abstract read): 0.70 / (1.96 x root 2) = 0.25.
REFRACTION_D = 0.25
# Vertex distance [mm], depth [um], keratometry [D] and lens tolerance [D]: common practice.
VERTEX_MM, DEPTH_UM, KERATOMETRY_D, LENS_D = 1.0, 50.0, 0.25, 0.15

# Of a normal distribution, 95 % lie within this many SDs.
NORMAL_95 = 1.96

# refraction_d: share of one refraction; other_d: everything else together. SDs in D.
Budget = namedtuple("Budget", ("refraction_d", "other_d"))


def vault_sd(prediction: Prediction) -> float:
    """Return the SD [um] of a predicted vault; its degrees of freedom exceed 2."""
    return float(prediction.scale_um * math.sqrt(prediction.dof / (prediction.dof - 2.0)))


def budget(eye: Eye, lens: PowerVector, vault_um: float) -> Budget:
    """Return the error budget [D] of the mean sphere at the end.

    Args:
        eye: with the lens position for the length in question.
        lens: the lens [D] that stays the same whatever the inputs really were.
        vault_um: SD of the vault [um].

    Example: -10 D, vault SD 176 um: 0.19 from the refraction, 0.26 in all (worked).
    """
    change = sensitivity(eye, lens)
    # A refraction at the cornea has no vertex distance to be wrong about.
    vertex_mm = VERTEX_MM if eye.vertex_mm > 0.0 else 0.0
    shares_d = (
        change.vault_100um * vault_um / 100.0,
        change.vault_100um * DEPTH_UM / 100.0,
        change.vertex_mm * vertex_mm,
        change.keratometry_d * KERATOMETRY_D,
        change.lens_d * LENS_D,
    )
    squares = 0.0
    for share_d in shares_d:
        squares += share_d * share_d
    return Budget(abs(change.refraction_d) * REFRACTION_D, math.sqrt(squares))


def half_width(shares: Budget, readings: int) -> float:
    """Return the 95 % half width [D] of the final mean sphere after so many refractions."""
    measured = shares.refraction_d * shares.refraction_d / readings
    return NORMAL_95 * math.sqrt(measured + shares.other_d * shares.other_d)
