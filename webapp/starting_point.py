"""A catalogue and limits to begin from: invented lens models and every limit's default."""

from typing import Any

from webapp.core import limits

# The figures of a supplier replace all of this. No supplier's steps or sizes are meant.
SPHERICAL: dict[str, Any] = {
    "model": "Model A-s",
    "toric": 0,
    "sphere_min_cD": -2100,
    "sphere_max_cD": 700,
    "sphere_step_cD": 25,
    "cylinder_min_cD": 0,
    "cylinder_max_cD": 0,
    "cylinder_step_cD": 0,
    "axis_step_deg": 0,
    "lengths_um": [12250, 12500, 12750, 13000],
    "optic_um": 5700,
    "offset_um": 0,
    "index_e4": 14500,
    "labelled_power": "Invented convention: the labelled power is the power of the thin lens in "
    "aqueous at the plane of the lens, sphere and minus cylinder.",
}
TORIC: dict[str, Any] = {
    **SPHERICAL,
    "model": "Model A-t",
    "toric": 1,
    "cylinder_min_cD": -650,
    "cylinder_max_cD": -75,
    "cylinder_step_cD": 25,
    "axis_step_deg": 1,
}


def catalogue() -> dict[str, Any]:
    """Return the body of a catalogue of two invented models, marked as invented (``demo`` 1)."""
    return {"title": "Invented lens models", "demo": 1, "models": [SPHERICAL, TORIC]}


def adopted_limits() -> dict[str, Any]:
    """Return the body of limits that adopt every default as it stands, units in the names."""
    return {"title": "Every default as it stands", "values": limits.defaults()}


BODIES = {"catalogue": catalogue, "limits": adopted_limits}
