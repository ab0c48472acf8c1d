"""The demo's lens catalogue and limits. Invented models: steps and sizes follow no supplier."""

from typing import Any

from webapp.core import limits

CONVENTION = (
    "Demo convention: the labelled power is the power of the thin lens in aqueous at the plane of "
    "the lens, sphere and minus cylinder."
)
LENGTHS_UM = [12250, 12500, 12750, 13000]
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
    "lengths_um": LENGTHS_UM,
    "optic_um": 5700,
    "offset_um": 0,
    "labelled_power": CONVENTION,
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
    """Return the body of the demo catalogue."""
    return {"title": "Tern Islands demo catalogue", "demo": 1, "models": [SPHERICAL, TORIC]}


def adopted_limits() -> dict[str, Any]:
    """Return the body of the demo limits: every default of the rules, adopted as it stands."""
    return {"title": "Tern Islands demo limits", "values": limits.defaults()}
