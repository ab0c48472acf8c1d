"""A lens or refraction in one line for the eye and in one sentence for the ear."""

from collections.abc import Mapping
from typing import Any

from webapp.desk.eyes import eye_of
from webapp.desk.numbers import dioptres, fixed, millimetres


def refraction_line(values: Mapping[str, Any]) -> str:
    """Return ``−9.00 −2.50 × 15`` or ``−9.00 sphere`` from sphere_cD, cylinder_cD, axis_deg."""
    sphere = dioptres(values["sphere_cD"])
    if not values["cylinder_cD"]:
        return f"{sphere} sphere"
    return f"{sphere} {dioptres(values['cylinder_cD'])} × {values['axis_deg']}"


def plane_words(values: Mapping[str, Any]) -> str:
    """Return where a refraction holds: at the cornea, or at the glasses with the vertex."""
    if values["plane"] == "corneal":
        return "at the cornea"
    return f"at the glasses, vertex {millimetres(values['vertex_um'], 1)} mm"


def lens_line(lens: Mapping[str, Any]) -> str:
    """Return power and length of a lens, ``−9.75 −2.50 × 15, 12.50 mm``; the unit stays put."""
    return f"{refraction_line(lens)}, {millimetres(lens['length_um'])}\N{NO-BREAK SPACE}mm"


def lens_sentence(eye: str, lens: Mapping[str, Any]) -> str:
    """Return the read-back of a lens with eye, sign word and unit in full.

    Example: "Right eye: model A-t, sphere minus 9.75 dioptres, cylinder minus 2.50 dioptres at
    axis 15, length 12.50 millimetres."
    """
    parts = [str(lens["model"]), f"sphere {_spoken_power(lens['sphere_cD'])}"]
    if lens["cylinder_cD"]:
        parts.append(f"cylinder {_spoken_power(lens['cylinder_cD'])} at axis {lens['axis_deg']}")
    else:
        parts.append("no cylinder")
    parts.append(f"length {millimetres(lens['length_um'])} millimetres")
    return f"{eye_of(eye).word.capitalize()}: {', '.join(parts)}."


def _spoken_power(value_cd: int) -> str:
    """Return a power with its sign as a word."""
    sign = "minus " if value_cd < 0 else "plus " if value_cd > 0 else ""
    return f"{sign}{fixed(abs(value_cd), 100, 2)} dioptres"
