"""Builds invented records for core tests: the payload fields filled in, the id made from them."""

import hashlib
import json

PERSON = "0193f6d0-0000-7000-8000-000000000001"
TODAY = "2026-11-25"
WALL = "2026-11-25T04:45:12.120Z"
CORE = "c" * 64
DIGEST = "d" * 64

MODEL_T = {
    "model": "Model A-t", "toric": 1, "sphere_min_cD": -1800, "sphere_max_cD": 300,
    "sphere_step_cD": 25, "cylinder_min_cD": -600, "cylinder_max_cD": -50,
    "cylinder_step_cD": 50, "axis_step_deg": 1,
    "lengths_um": [11600, 12100, 12600, 13100, 13600], "optic_um": 5800, "offset_um": 0,
    "labelled_power": "in aqueous 1.336, at the back surface (invented)",
}  # fmt: skip
MODEL_S = {
    **MODEL_T, "model": "Model A-s", "toric": 0, "cylinder_min_cD": 0, "cylinder_max_cD": 0,
    "cylinder_step_cD": 0, "axis_step_deg": 0,
}  # fmt: skip
REFERENCE = {
    "catalogue": {
        "id": "a" * 64, "body": {"title": "Demo", "demo": 1, "models": [MODEL_T, MODEL_S]},
    },
    "limits": {"id": "b" * 64, "body": {"title": "Defaults", "values": {}}},
}  # fmt: skip

# One invented eye that no rule objects to, but for stability (no earlier refraction) and the vault.
PLAIN_EYE: dict[str, dict[str, object]] = {
    "reading.refraction": {
        "sphere_cD": -900, "cylinder_cD": -250, "axis_deg": 15, "plane": "spectacle",
        "vertex_um": 12000, "method": "manifest",
    },
    "reading.acuity": {"logmar_c": 2, "correction": "best_corrected"},
    "reading.keratometry": {
        "unit": "D", "flat_cD": 4250, "steep_cD": 4450, "flat_radius_um": None,
        "steep_radius_um": None, "steep_meridian_deg": 100, "device": "keratometer 1",
    },
    "reading.chamber_depth": {"depth_um": 3050, "surface": "endothelium", "device": "scanner 2"},
    "reading.corneal_thickness": {"thickness_um": 520, "device": "scanner 2"},
    "reading.white_to_white": {"diameter_um": 11620, "device": "calliper 2"},
    "reading.pupil": {"diameter_um": 5600, "light": "mesopic"},
    "reading.pressure": {"iop_dmmHg": 140, "device": "tonometer 1"},
    "reading.endothelial_count": {"ecd_pmm2": 2900, "device": "microscope 1"},
    "reading.angle": {"method": "gonioscopy", "grade": 4, "angle_deg": None},
}  # fmt: skip
# What differs in the left eye, as axes of two eyes mirror each other.
PLAIN_LEFT: dict[str, dict[str, object]] = {
    "reading.refraction": {"axis_deg": 165},
    "reading.keratometry": {"steep_meridian_deg": 80},
    "reading.chamber_depth": {"depth_um": 3060},
    "reading.endothelial_count": {"ecd_pmm2": 2903},
}
OPTIONAL: dict[str, dict[str, object]] = {
    "reading.sulcus_to_sulcus": {
        "diameter_um": 12100, "direction": "horizontal", "device": "ultrasound 1",
    },
    "reading.lens_rise": {"rise_um": 330, "reference": "angle_recess", "device": "scanner 2"},
    "reading.cycloplegic_refraction": {
        "sphere_cD": -900, "cylinder_cD": -250, "axis_deg": 15, "plane": "spectacle",
        "vertex_um": 12000,
    },
    "reading.auto_refraction": {
        "sphere_cD": -900, "cylinder_cD": -250, "axis_deg": 15, "plane": "spectacle",
        "vertex_um": 12000, "device": "refractor 1",
    },
    "reading.earlier_refraction": {
        "source": "prescription", "dated": "2025-03-01", "sphere_cD": -900, "cylinder_cD": -250,
        "axis_deg": 15, "plane": "spectacle", "vertex_um": 12000,
    },
    "reading.tomography": {
        "values": "kmax_is", "kmax_cD": 4600, "is_cD": -30, "map_grade": "0", "device_flag": "none",
        "device": "scanner 2",
    },
    "reading.endothelial_mosaic": {
        "cv_percent": 32, "hexagonal_percent": 60, "device": "microscope 1",
    },
    "reading.lens_thickness": {"thickness_um": 3700, "device": "scanner 2"},
    "reading.iris_profile": {"profile": "flat"},
    "reading.optic_disc": {"look": "normal"},
}  # fmt: skip
REGISTERED = {
    "name": "Maren Tolley", "village": "Saltpan", "sex": "F", "phone": None,
    "birth_date": "1999-05-02", "birth_year": None, "camp_code": "SP-0417",
    "consent_store": "yes", "consent_send": "yes",
}  # fmt: skip
ANSWERS = {
    "stable_12_months": "yes", "contact_lenses": "no", "pregnant_or_nursing": "no",
    "eye_disease": "no", "contact_lens_type": None, "contact_lens_days_out": None,
    "eye_disease_note": None,
}  # fmt: skip

HEALTH = {
    "collagen_disease": "no", "diabetes": "no", "anticoagulant": "no", "allergy": "no",
    "ocular_surface": "no", "note": None,
}  # fmt: skip

Entry = dict[str, object]


def record(kind: str, body: dict[str, object], eye: str | None = None, **given: object) -> Entry:
    """Return one stored record; what is not given is filled in for the camp optometrist."""
    payload: dict[str, object] = {
        "v": 1, "kind": kind, "person": PERSON, "eye": eye, "site": "saltpan",
        "author": "u-ambler", "role": "optometrist", "key": "k1", "seq": 1, "prev": None,
        "wall": WALL, "replaces": None, "reason": None,
    }  # fmt: skip
    payload.update(given)
    payload["body"] = body
    text = json.dumps(payload, sort_keys=True)
    name = hashlib.sha256(text.encode()).hexdigest()
    return {"id": name, "payload": payload, "received": None, "state": "ok"}


def reading(kind: str, eye: str = "R", taken: str = WALL, **changed: object) -> Entry:
    """Return one reading of the plain eye, with fields changed; fields of a record may be given."""
    fields = ("author", "role", "key", "seq", "wall", "replaces", "reason")
    given = {name: changed.pop(name) for name in fields if name in changed}
    body = {**{**PLAIN_EYE, **OPTIONAL}[kind], "taken": taken, "typed": {}, **changed}
    return record(kind, body, eye, **given)


def person(**changed: object) -> Entry:
    """Return a registration."""
    return record("person.registered", {**REGISTERED, **changed})


def answers(**changed: object) -> Entry:
    """Return the answers to the questions."""
    return record("history.answers", {**ANSWERS, **changed})


def health(**changed: object) -> Entry:
    """Return the answers about general health."""
    return record("history.health", {**HEALTH, **changed})


def whole_eye(eye: str = "R", **instead: dict[str, object] | None) -> list[Entry]:
    """Return a complete eye with its person.

    Args:
        eye: "R" or "L".
        instead: by the last word of a kind, the fields to change, or None to leave it out.
    """
    entries = [person(), answers()]
    for kind in PLAIN_EYE:
        changed = instead.get(kind.split(".")[1], {})
        if changed is not None:
            mirrored = PLAIN_LEFT.get(kind, {}) if eye == "L" else {}
            entries.append(reading(kind, eye, **{**mirrored, **changed}))
    return entries


def plan_request(entries: list[Entry], eye: str = "R", **more: object) -> dict[str, object]:
    """Return the request for a plan."""
    asked = {
        "do": "plan", "entries": entries, "reference": REFERENCE, "eye": eye, "today": TODAY,
        "core": CORE, "choice": None,
    }  # fmt: skip
    return {**asked, **more}


def fold_request(entries: list[Entry], **more: object) -> dict[str, object]:
    """Return the request for a case file."""
    asked = {
        "do": "fold", "entries": entries, "reference": REFERENCE, "today": TODAY, "core": CORE,
    }  # fmt: skip
    return {**asked, **more}


def find(entries: list[Entry], kind: str) -> Entry:
    """Return the first record of a kind."""
    return next(one for one in entries if one["payload"]["kind"] == kind)  # type: ignore[index]
