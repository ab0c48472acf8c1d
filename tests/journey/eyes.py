"""Readings of the journeys' eyes; every figure is invented unless a source stands beside it."""

from tests.journey.measuring import Reading, choice, device, number


def refraction(sphere: str, cylinder: str, axis: str | None) -> Reading:
    """Return a manifest refraction at the glasses, vertex 12.0 mm; no axis without a cylinder."""
    turned = () if axis is None else (number(axis),)
    answers = (number(sphere), number(cylinder), *turned, choice("At the glasses"), number("12.0"))
    return Reading("Manifest refraction", answers)


def cornea(flat: str, steep: str, meridian: str) -> Reading:
    """Return a keratometry in dioptres."""
    values = (number(flat), number(steep), number(meridian))
    return Reading("Keratometry", (choice("Dioptres (D)"), *values, device("keratometer 1")))


def depth(millimetres: str) -> Reading:
    """Return a chamber depth from the endothelium."""
    surface = choice("Back of the cornea (endothelium)")
    return Reading("Chamber depth", (surface, number(millimetres), device("scanner 2")))


def diameter(millimetres: str) -> Reading:
    """Return a white-to-white."""
    return Reading("White-to-white", (number(millimetres), device("calliper 2")))


REST = (
    Reading("Corrected acuity", (number("0.04"),)),
    Reading("Corneal thickness", (number("520"), device("scanner 2"))),
    Reading("Endothelial count", (number("2640"), device("microscope 1"))),
    Reading("Eye pressure", (number("14"), device("tonometer 1"))),
    Reading("Pupil", (choice("Dim (mesopic)"), number("6.20"))),
    Reading("Chamber angle", (choice("Gonioscopy (grade)"), number("4"))),
)
