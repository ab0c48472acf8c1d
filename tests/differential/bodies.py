"""Random readings: around the published norms, or anywhere the table of kinds lets them be."""

from random import Random
from typing import Any

from webapp.records.kinds import KINDS
from webapp.records.kinds_values import Field

Body = dict[str, Any]
DEVICES = ("scanner 2", "Scanner  2", "calliper 1")
MOMENTS = (
    "2026-11-25T04:45:12.120Z", "2026-11-24T09:00:00.000Z", "2026-10-02T09:00:00.000Z",
    "2026-05-20T09:00:00.000Z", "2025-06-01T09:00:00.000Z", "2019-01-31T09:00:00.000Z",
)  # fmt: skip
DATES = ("2026-11-01", "2025-11-24", "2024-02-29", "2015-07-07", "1999-12-31")

# Mean and SD in recorded units. Norms: white-to-white Rufer 2005, sulcus 273 myopes, pupil Linke
# 2012, thickness and cells as common in the literature (abstracts read); the rest common practice.
NORMS = {
    "sphere_cD": (-800, 350), "cylinder_cD": (-120, 120), "vertex_um": (12500, 800),
    "logmar_c": (2, 8), "flat_cD": (4280, 140), "steep_cD": (4400, 140),
    "flat_radius_um": (7880, 250), "steep_radius_um": (7670, 250), "depth_um": (3200, 250),
    "reading.corneal_thickness.thickness_um": (534, 33), "reading.pupil.diameter_um": (6450, 820),
    "reading.white_to_white.diameter_um": (11700, 420),
    "reading.sulcus_to_sulcus.diameter_um": (12130, 450), "rise_um": (280, 230),
    "iop_dmmHg": (145, 28), "ecd_pmm2": (2750, 280), "grade": (3, 1), "angle_deg": (38, 7),
    "kmax_cD": (4450, 150), "is_cD": (20, 60), "cv_percent": (32, 6), "hexagonal_percent": (58, 8),
    "reading.lens_thickness.thickness_um": (3750, 250),
}  # fmt: skip
ODD_IN = 12


def body(rng: Random, kind: str, is_plausible: bool) -> Body:
    """Return a body of a kind whose parts agree with each other as its rules want."""
    fields = KINDS[kind].fields
    drawn = {name: value(rng, kind, name, fields[name], is_plausible) for name in fields}
    drawn["typed"] = {}
    drawn["taken"] = MOMENTS[0] if is_plausible and rng.random() < 0.8 else rng.choice(MOMENTS)
    return agreeing(drawn)


def value(rng: Random, kind: str, name: str, field: Field, is_plausible: bool) -> Any:  # noqa: ANN401
    """Return one value in its recorded form."""
    if field["type"] == "int":
        return whole(rng, kind, name, field, is_plausible)
    if field["type"] == "choice":
        choices = [choice for choice, _ in field["choices"]]
        return choices[0] if is_plausible and rng.random() < 0.93 else rng.choice(choices)
    if field["type"] == "date":
        return rng.choice(DATES)
    return DEVICES[0] if rng.random() < (0.98 if is_plausible else 0.9) else rng.choice(DEVICES)


def whole(rng: Random, kind: str, name: str, field: Field, is_plausible: bool) -> int:
    """Return a whole number on its step: about its norm, at an end, or anywhere between."""
    low, high, step = int(field["min"]), int(field["max"]), int(field["step"])
    norm = NORMS.get(f"{kind}.{name}", NORMS.get(name))
    if is_plausible and norm is not None:
        return min(high, max(low, round(rng.gauss(*norm) / step) * step))
    if rng.randrange(ODD_IN) < ODD_IN // 4:
        return rng.choice((low, high))
    return rng.randrange(low, high + 1, step)


def agreeing(drawn: Body) -> Body:
    """Return the body with what its other parts leave no room for taken out or put in order."""
    if drawn.get("cylinder_cD") == 0:
        drawn["axis_deg"] = None
    if drawn.get("plane") == "corneal":
        drawn["vertex_um"] = None
    for unit, names in (
        ("mm", ("flat_cD", "steep_cD")), ("D", ("flat_radius_um", "steep_radius_um")),
    ):  # fmt: skip
        if drawn.get("unit") == unit:
            drawn.update(dict.fromkeys(names))
    if drawn.get("unit") == "D" and drawn["flat_cD"] > drawn["steep_cD"]:
        drawn["flat_cD"], drawn["steep_cD"] = drawn["steep_cD"], drawn["flat_cD"]
    if drawn.get("unit") == "mm" and drawn["flat_radius_um"] < drawn["steep_radius_um"]:
        flat, steep = drawn["steep_radius_um"], drawn["flat_radius_um"]
        drawn["flat_radius_um"], drawn["steep_radius_um"] = flat, steep
    if "made_on" in drawn and (drawn["made_on"] >= drawn["taken"][:10] or drawn["is_cD"] is None):
        del drawn["made_on"]  # As in a record from before maps had a day of their own.
    if "grade" in drawn and "angle_deg" in drawn:
        drawn["grade" if drawn["method"] == "spur_angle" else "angle_deg"] = None
    if drawn.get("values") == "kmax":
        drawn["is_cD"] = None
    return drawn
