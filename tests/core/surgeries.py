"""Builds surgeries and what is found after them on an invented eye."""

from typing import Any

from tests.core import records
from tests.core.decided import SURGEON

Entry = records.Entry
OPERATED = "2026-10-20"
LENS: dict[str, Any] = {
    "model": "Model A-t", "sphere_cD": -1000, "cylinder_cD": -250, "axis_deg": 15,
    "length_um": 12600,
}  # fmt: skip
FOUND: dict[str, dict[str, Any]] = {
    "followup.vault": {"light": "mesopic", "vault_um": 500, "device": "scanner 2"},
    "followup.refraction": {
        "sphere_cD": 0, "cylinder_cD": 0, "axis_deg": None, "plane": "spectacle",
        "vertex_um": 12000,
    },
    "followup.acuity": {"correction": "uncorrected", "logmar_c": -4},
    "followup.pressure": {"iop_dmmHg": 150, "device": "tonometer 1"},
    "followup.axis_seen": {"method": "slit_lamp", "seen_axis_deg": 15},
    "followup.endothelial_count": {"ecd_pmm2": 2850, "device": "microscope 1"},
    "followup.angle": {"method": "gonioscopy", "grade": 4, "angle_deg": None},
    "followup.pupil": {"light": "mesopic", "diameter_um": 5600},
    "followup.lens_clarity": {"clarity": "clear"},
}  # fmt: skip
# A day long before surgery, for the readings that the first eye was planned on.
BEFORE = "2026-10-01T08:00:00.000Z"
AFTER_35_DAYS = "2026-11-24T08:00:00.000Z"


def implanted(eye: str = "L", lens: dict[str, Any] = LENS, **given: Any) -> Entry:  # noqa: ANN401
    """Return a surgery by the surgeon; fields of body and record may be given."""
    fields = ("replaces", "reason", "seq", "author", "key", "wall")
    header = {**SURGEON, **{name: given.pop(name) for name in fields if name in given}}
    body = {
        "operated": OPERATED, "lens": lens, "serial": "TI-70012", "order": None, "approval": None,
        "incision_meridian_deg": 180, "final_axis_deg": None, "operator": "Dr S. Verrill",
        "event": "none", "note": None, **given,
    }  # fmt: skip
    return records.record("surgery.implanted", body, eye, **header)


def found(
    kind: str, surgery: Entry, eye: str = "L", taken: str = AFTER_35_DAYS, **changed: object
) -> Entry:
    """Return one reading after a surgery by the optometrist; body and header may be changed."""
    fields = ("author", "role", "key", "seq", "wall", "replaces", "reason")
    given = {name: changed.pop(name) for name in fields if name in changed}
    kind = f"followup.{kind}"
    body = {"implant": surgery["id"], **FOUND[kind], "taken": taken, "typed": {}, **changed}
    return records.record(kind, body, eye, **given)


def first_eye(eye: str = "L", **instead: dict[str, object] | None) -> list[Entry]:
    """Return a whole eye as it was measured before its surgery, without person and answers."""
    whole = records.whole_eye(eye, **instead)
    return [
        records.reading(
            str(one["payload"]["kind"]), eye, BEFORE,  # type: ignore[index]
            **{k: v for k, v in one["payload"]["body"].items() if k not in ("taken", "typed")},  # type: ignore[index]
        )
        for one in whole
        if one["payload"]["kind"].startswith("reading.")  # type: ignore[index]
    ]  # fmt: skip
