"""A toric lens that lies at another axis: what turning it would do, and by how much to turn it.

A turn by theta leaves a cylinder of 2 C sin(theta) at the lens: 3.5 % of C for each of the first
degrees, all of it at 30. Source: crossed cylinders, any visual optics text.
"""

import math
from collections import namedtuple

from webapp.core.lens_power import Eye, reduced_position, vergence_supplied
from webapp.core.optics import (
    NO_CYLINDER_D,
    PowerVector,
    added,
    astigmatism,
    at_spectacles,
    axis_of,
    blur,
    moved,
    subtracted,
    turned,
)

# turn_deg: counter-clockwise facing the patient, -90 to 90; axis_deg: where the axis would lie,
# None for a spherical lens; refraction: spectacle plane [D]; gain_d: blur strength saved [D].
Turn = namedtuple("Turn", ("turn_deg", "axis_deg", "refraction", "gain_d"))


def vergence_behind(eye: Eye, observed: PowerVector, lens: PowerVector) -> PowerVector:
    """Return the vergence [D] just behind the lens, which the rest of the eye brings to focus.

    Args:
        eye: cornea as it is now (``cornea_change`` included), vertex distance, lens position.
        observed: spectacle refraction measured with the lens in the eye [D].
        lens: the lens as it lies now [D].
    """
    return added(vergence_supplied(eye, observed), lens)


def refraction_through(eye: Eye, behind: PowerVector, lens: PowerVector) -> PowerVector:
    """Return the spectacle refraction [D] that a lens leaves, from ``vergence_behind``."""
    in_front = moved(subtracted(behind, lens), -reduced_position(eye.position_mm), "lens")
    corneal = subtracted(subtracted(in_front, eye.cornea), eye.cornea_change)
    return at_spectacles(corneal, eye.vertex_mm, "lens")


def turn_between(now: PowerVector, wanted: PowerVector) -> float:
    """Return the turn [deg], above -90 and up to 90, that lays one axis onto the other.

    No turn is asked for where either of the two has no cylinder.
    """
    if astigmatism(now) < NO_CYLINDER_D or astigmatism(wanted) < NO_CYLINDER_D:
        return 0.0
    # One angle from the two vectors' products: no difference of angles that needs wrapping.
    cosine = now.j0_d * wanted.j0_d + now.j45_d * wanted.j45_d
    sine = now.j0_d * wanted.j45_d - now.j45_d * wanted.j0_d
    turn_deg = math.degrees(math.atan2(sine, cosine)) / 2.0
    return turn_deg if turn_deg > -90.0 else 90.0


def best_turn(eye: Eye, observed: PowerVector, lens: PowerVector, target: PowerVector) -> Turn:
    """Return the turn of the implanted lens that leaves the least cylinder at the lens plane.

    Args:
        eye: as ``vergence_behind``; its own refraction is not used.
        observed: spectacle refraction with the lens in the eye [D].
        lens: the lens as it lies now [D].
        target: spectacle refraction wanted [D].

    Example: lens -10.00 -2.00 lying at 178 with +0.50 -1.00 x 42 asks for +15.56, to 13.56.
    """
    behind = vergence_behind(eye, observed, lens)
    wanted = subtracted(behind, vergence_supplied(eye, target))
    turn_deg = turn_between(lens, wanted)
    moved_lens = turned(lens, turn_deg)
    after = refraction_through(eye, behind, moved_lens)
    gain_d = blur(subtracted(observed, target)) - blur(subtracted(after, target))
    is_toric = astigmatism(lens) >= NO_CYLINDER_D
    return Turn(turn_deg, axis_of(moved_lens) if is_toric else None, after, gain_d)


def naked_refraction(eye: Eye, observed: PowerVector, lens: PowerVector) -> PowerVector:
    """Return the spectacle refraction [D] that the eye would have without its lens.

    Compare it with the refraction before surgery: a difference points to a wrong label, axis or
    reading. Args: as ``best_turn``.

    Example: the eye of ``best_turn`` would read -9.030 -2.435 x 13.74.
    """
    behind = vergence_behind(eye, observed, lens)
    in_front = moved(behind, -reduced_position(eye.position_mm), "lens")
    corneal = subtracted(subtracted(in_front, eye.cornea), eye.cornea_change)
    return at_spectacles(corneal, eye.vertex_mm, "lens")
