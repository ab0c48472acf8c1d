"""The readings of an eye in words: the value, its unit, and the plane or method it belongs to."""

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from webapp.desk.lens_words import plane_words, refraction_line
from webapp.desk.numbers import fixed, millimetres, signed, unsigned_dioptres

Body = Mapping[str, Any]


class Value(NamedTuple):
    """A reading in words: the value, its unit, and the plane, surface or method it belongs to."""

    text: str
    unit: str
    where: str


def _refraction(body: Body) -> Value:
    return Value(refraction_line(body), "D", f"{body['method']}, {plane_words(body)}")


def _acuity(body: Body) -> Value:
    return Value(signed(body["logmar_c"], 100, 2), "logMAR", "best corrected")


def _keratometry(body: Body) -> Value:
    meridians = f"steep at {body['steep_meridian_deg']}°"
    if body["unit"] == "mm":
        flat, steep = (millimetres(body[f"{name}_radius_um"]) for name in ("flat", "steep"))
        return Value(f"{flat} / {steep}", "mm", meridians)
    flat, steep = (unsigned_dioptres(body[f"{name}_cD"]) for name in ("flat", "steep"))
    return Value(f"{flat} / {steep}", "D", meridians)


def _depth(body: Body) -> Value:
    return Value(millimetres(body["depth_um"]), "mm", f"from the {body['surface']}")


def _diameter(body: Body) -> Value:
    return Value(millimetres(body["diameter_um"]), "mm", str(body.get("direction") or "horizontal"))


def _rise(body: Body) -> Value:
    reference = str(body["reference"]).replace("_", " ")
    return Value(signed(body["rise_um"], 1000, 2), "mm", f"over the {reference}")


def _pupil(body: Body) -> Value:
    return Value(millimetres(body["diameter_um"]), "mm", f"{body['light']} light")


def _pressure(body: Body) -> Value:
    decimals = 1 if body["iop_dmmHg"] % 10 else 0
    return Value(fixed(body["iop_dmmHg"], 10, decimals), "mmHg", "")


def _angle(body: Body) -> Value:
    if body["method"] == "gonioscopy":
        return Value(f"grade {body['grade']}", "", "gonioscopy")
    return Value(str(body["angle_deg"]), "°", "at the scleral spur")


VALUES: dict[str, Callable[[Body], Value]] = {
    "reading.refraction": _refraction,
    "reading.acuity": _acuity,
    "reading.keratometry": _keratometry,
    "reading.chamber_depth": _depth,
    "reading.corneal_thickness": lambda body: Value(str(body["thickness_um"]), "µm", "central"),
    "reading.white_to_white": _diameter,
    "reading.sulcus_to_sulcus": _diameter,
    "reading.lens_rise": _rise,
    "reading.pupil": _pupil,
    "reading.pressure": _pressure,
    "reading.endothelial_count": lambda body: Value(str(body["ecd_pmm2"]), "/mm²", ""),
    "reading.angle": _angle,
    "reading.unread": lambda body: Value("Can’t be read", "", str(body["why"])),
}

TITLES = {
    "reading.refraction": "Refraction",
    "reading.acuity": "Acuity",
    "reading.keratometry": "Cornea, flat / steep",
    "reading.chamber_depth": "Chamber depth",
    "reading.corneal_thickness": "Cornea thickness",
    "reading.white_to_white": "White-to-white",
    "reading.sulcus_to_sulcus": "Sulcus-to-sulcus",
    "reading.lens_rise": "Lens rise",
    "reading.pupil": "Pupil",
    "reading.pressure": "Pressure",
    "reading.endothelial_count": "Endothelial count",
    "reading.angle": "Angle",
    "reading.unread": "Not readable",
}


def value_of(kind: str, body: Body) -> Value:
    """Return a reading in words.

    Raises:
        KeyError: the kind is not a reading; nothing is shown as if it were one.
    """
    return VALUES[kind](body)


def instrument(body: Body) -> str:
    """Return the instrument of a reading, or nothing where the kind has none."""
    return str(body.get("device") or "")
