"""Bodies of a surgery, and of a vault found after it, as the base is handed them."""

from typing import Any

LENS = {
    "model": "Model A-s", "sphere_cD": -1100, "cylinder_cD": 0, "axis_deg": None,
    "length_um": 12500,
}  # fmt: skip
TAKEN = "2026-11-25T04:45:12.120Z"


def surgery(**changed: object) -> dict[str, Any]:
    """Return the body of a surgery."""
    return {
        "operated": "2026-10-20", "lens": LENS, "serial": "TI-70012", "order": None,
        "approval": None, "incision_meridian_deg": None, "final_axis_deg": None,
        "operator": "Dr S. Verrill", "event": "none", "note": None, **changed,
    }  # fmt: skip


def vault(implant: str, **changed: object) -> dict[str, Any]:
    """Return the body of a vault after surgery."""
    return {
        "implant": implant, "light": "mesopic", "vault_um": 480, "device": "Biometer",
        "taken": TAKEN, "typed": {}, **changed,
    }  # fmt: skip
