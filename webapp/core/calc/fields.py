"""The clinical quantities that calculations ask for, each with its unit, range and meaning."""

from collections import namedtuple

from webapp.core.errors import BadInput, OutOfRange
from webapp.core.fields import Axis, Field, Group, Name, Number, VaultNumber, joined
from webapp.core.lens_power import depth_from_epithelium
from webapp.core.optics import PowerVector, Refraction, corneal_power, power_vector, refraction_of
from webapp.core.units import power_of_radius

# Ranges are what makes physical sense; an unusual value within them is a finding of a plan.
REFRACTION_D = (-35.0, 20.0)
LENS_D = (-40.0, 30.0)

# An axis is not answered for less cylinder than this [D].
SMALLEST_ANSWERED_CYLINDER_D = 0.005

CYLINDER_NOTE = "Cylinder, either sign; sphere and cylinder together lie in the sphere's range."


def refraction_check(low_d: float, high_d: float) -> object:
    """Return a check of both principal meridians, which makes a power vector."""

    def check(path: str, given: Refraction) -> PowerVector:
        if not low_d <= given.sphere_d + given.cylinder_d <= high_d:
            raise OutOfRange(joined(path, "cylinder_D"), low_d, high_d, "D in each meridian")
        if given.axis_deg is None:
            if given.cylinder_d != 0.0:
                where = joined(path, "axis_deg")
                raise BadInput(where, where + " is needed with a cylinder; null only without one")
            given = Refraction(given.sphere_d, given.cylinder_d, 180.0)
        return power_vector(given)

    return check


def spherocylinder(limits: tuple[float, float]) -> Group:
    """Return the kind of a refraction or lens whose meridians lie within limits [D]."""
    low_d, high_d = limits
    reach_d = high_d - low_d
    return Group(
        Refraction,
        (
            Field("sphere_D", Number(low_d, high_d, "D"), True, "Sphere."),
            Field("cylinder_D", Number(-reach_d, reach_d, "D"), True, CYLINDER_NOTE),
            Field("axis_deg", Axis(), True, "Axis, counter-clockwise facing the patient."),
        ),
        refraction_check(low_d, high_d),
    )


REFRACTION = spherocylinder(REFRACTION_D)
LENS = spherocylinder(LENS_D)

Readings = namedtuple("Readings", ("flat", "steep", "steep_meridian_deg"))
BothUnits = namedtuple("BothUnits", ("dioptres", "millimetres"))


class Keratometry:
    """Two corneal readings in dioptres or in millimetres, read into a power vector [D]."""

    def __init__(self) -> None:
        self.given_in = BothUnits(
            Group(Readings, reading_fields("D", 30.0, 60.0)),
            Group(Readings, reading_fields("mm", 5.6, 11.25), as_dioptres),
        )

    def read(self, path: str, value: object) -> PowerVector:
        """Return the corneal power [D]; flat and steep must be the right way round."""
        in_millimetres = isinstance(value, dict) and "flat_mm" in value
        kind = self.given_in.millimetres if in_millimetres else self.given_in.dioptres
        if isinstance(value, dict):
            ask_back_both(path, value)
            ask_back_radius(joined(path, "flat_D"), value.get("flat_D"))
        readings = kind.read(path, value)
        if readings.flat > readings.steep:
            where = joined(path, "flat_mm" if in_millimetres else "flat_D")
            raise BadInput(where, where + " is steeper than the steep reading; exchange the two")
        return corneal_power(readings.flat, readings.steep, readings.steep_meridian_deg)

    def text(self) -> str:
        """Describe both forms."""
        return (
            "{flat_D, steep_D: 30 to 60 D, steep_meridian_deg: 0 to 180 deg}"
            " or {flat_mm, steep_mm: 5.6 to 11.25 mm, steep_meridian_deg}"
        )


def ask_back_radius(where: str, flat_d: object) -> None:
    """Refuse a radius that was typed as a power, in words that say so."""
    if isinstance(flat_d, (int, float)) and 5.0 <= flat_d <= 12.0:
        raise BadInput(where, where + " looks like a radius; give flat_mm and steep_mm instead")


def ask_back_both(path: str, value: dict[str, object]) -> None:
    """Refuse keratometry in both units: they may differ, and nothing here says which was read."""
    if any(name + "_mm" in value and name + "_D" in value for name in ("flat", "steep")):
        raise BadInput(path, path + " is given in D and in mm; give the one that was read")


def reading_fields(unit: str, low: float, high: float) -> tuple[Field, ...]:
    """Return the fields of keratometry in one unit."""
    return (
        Field("flat_" + unit, Number(low, high, unit), True, "Flat meridian."),
        Field("steep_" + unit, Number(low, high, unit), True, "Steep meridian."),
        Field("steep_meridian_deg", Number(0.0, 180.0, "deg"), True, "Where the steep one lies."),
    )


def as_dioptres(_path: str, radii: Readings) -> Readings:
    """Return corneal radii [mm] as keratometric powers [D], index 1.3375."""
    return Readings(
        power_of_radius(radii.flat), power_of_radius(radii.steep), radii.steep_meridian_deg
    )


KERATOMETRY = Keratometry()

Chamber = namedtuple("Chamber", ("depth_mm", "measured_from", "cct_um"))


def depth_of(_path: str, chamber: Chamber) -> float:
    """Return the depth from the epithelium [mm]."""
    return depth_from_epithelium(chamber.depth_mm, chamber.measured_from, chamber.cct_um)


CHAMBER = Group(
    Chamber,
    (
        Field("depth_mm", Number(1.5, 5.0, "mm"), True, "Chamber depth as the device gives it."),
        Field("from", Name(("endothelium", "epithelium")), True, "Which surface it starts from."),
        Field("cct_um", Number(300.0, 800.0, "um"), True, "Central corneal thickness."),
    ),
    depth_of,
)

Incision = namedtuple("Incision", ("flattening_d", "meridian_deg"))

INCISION = Group(
    Incision,
    (
        Field("flattening_D", Number(0.0, 3.0, "D"), True, "Planned flattening of the cornea."),
        Field("meridian_deg", Number(0.0, 180.0, "deg"), True, "Meridian of the incision."),
    ),
)

VERTEX = Number(8.0, 18.0, "mm")
POSITION = Number(1.0, 5.0, "mm")
VAULT = VaultNumber()
LENGTH = Number(10.0, 15.0, "mm")
DIAMETER = Number(9.0, 15.0, "mm")
LENS_RISE = Number(-1.0, 1.5, "mm")
AGE = Number(0.0, 120.0, "y")
CELLS = Number(300.0, 5000.0, "cells per mm2")


def answered(vector: PowerVector) -> dict[str, object]:
    """Return a power vector as an answer: minus cylinder, axis null where it means nothing."""
    refraction = refraction_of(vector)
    return spoken(refraction)


def spoken(refraction: Refraction) -> dict[str, object]:
    """Return a refraction under the names of answers."""
    has_axis = abs(refraction.cylinder_d) >= SMALLEST_ANSWERED_CYLINDER_D
    return {
        "sphere_D": refraction.sphere_d,
        "cylinder_D": refraction.cylinder_d,
        "axis_deg": refraction.axis_deg if has_axis else None,
    }
