"""The readings of an eye in words: the value, its unit, and the plane or method it belongs to."""

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from webapp.core.measured import LIGHT_WORDS
from webapp.desk.kind_words import body_words
from webapp.desk.lens_words import plane_words, refraction_line
from webapp.desk.moments import day
from webapp.desk.numbers import fixed, millimetres, signed, unsigned_dioptres
from webapp.records.kinds import KINDS

Body = Mapping[str, Any]


class Value(NamedTuple):
    """A reading in words: the value, its unit, and the plane, surface or method it belongs to."""

    text: str
    unit: str
    where: str


def _refraction(body: Body) -> Value:
    return Value(refraction_line(body), "D", f"{body['method']}, {plane_words(body)}")


def _other_refraction(body: Body) -> Value:
    """Return a refraction that is not the manifest one, with its source and date if it has them."""
    where = [plane_words(body)]
    if "source" in body:
        where = [f"{body['source']} of {day(body['dated'])}", *where]
    return Value(refraction_line(body), "D", ", ".join(where))


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
    return Value(signed(body["rise_um"], 1, 0), "µm", f"over the {reference}")


def _pupil(body: Body) -> Value:
    return Value(millimetres(body["diameter_um"]), "mm", LIGHT_WORDS[str(body["light"])])


def _pressure(body: Body) -> Value:
    decimals = 1 if body["iop_dmmHg"] % 10 else 0
    return Value(fixed(body["iop_dmmHg"], 10, decimals), "mmHg", "")


def _angle(body: Body) -> Value:
    if body["method"] == "gonioscopy":
        return Value(f"grade {body['grade']}", "", "gonioscopy")
    return Value(str(body["angle_deg"]), "°", "at the scleral spur")


# Kinds that deserve a line of their own; every other one is worded by the closed list.
VALUES: dict[str, Callable[[Body], Value]] = {
    "reading.refraction": _refraction,
    "reading.cycloplegic_refraction": _other_refraction,
    "reading.auto_refraction": _other_refraction,
    "reading.earlier_refraction": _other_refraction,
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

SHORTER = {
    "reading.refraction": "Refraction",
    "reading.acuity": "Acuity",
    "reading.keratometry": "Cornea, flat / steep",
    "reading.corneal_thickness": "Cornea thickness",
    "reading.pressure": "Pressure",
    "reading.angle": "Angle",
    "reading.unread": "Not readable",
}
TITLES = {
    name: SHORTER.get(name, kind.title)
    for name, kind in KINDS.items()
    if name.startswith("reading.")
}
# What every eye needs; the others are shown where somebody read them.
NEEDED = [name for name in TITLES if not KINDS[name].optional and name != "reading.unread"]


def value_of(kind: str, body: Body) -> Value:
    """Return a reading in words.

    Raises:
        KeyError: the kind is not a reading; nothing is shown as if it were one.
    """
    if kind in VALUES:
        return VALUES[kind](body)
    if kind not in TITLES:
        raise KeyError(kind)
    return Value(body_words(kind, body), "", "")


def instrument(body: Body) -> str:
    """Return the instrument of a reading, or nothing where the kind has none."""
    return str(body.get("device") or "")
