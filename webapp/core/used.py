"""Which values a plan uses when a quantity was read more than once.

- Only readings of the latest visit count; older ones show stability, they are not averaged in.
- Refractions and keratometry are averaged as power vectors, never as sphere, cylinder and axis.
- Depths, thicknesses and diameters are averaged only within one device and one surface. Devices
  differ by up to 1 mm (J Refract Surg 2024;40:e182, abstract read), so with two of them nothing
  is used until the person who measured has withdrawn one: no clock and no rule of thumb decides.
- A single reading is used as recorded; a mean is rounded once, to the recorded unit.
"""

from collections import namedtuple

from webapp.core.dates import day_number
from webapp.core.entry import Entry
from webapp.core.optics import (
    PLANO,
    PowerVector,
    Refraction,
    added,
    astigmatism,
    at_cornea,
    axis_of,
    corneal_power,
    power_vector,
    refraction_of,
)
from webapp.core.units import power_of_radius, to_step

RefractionUsed = namedtuple(
    "RefractionUsed", ("sphere_cD", "cylinder_cD", "axis_deg", "plane", "vertex_um")
)
CorneaUsed = namedtuple("CorneaUsed", ("flat_cD", "steep_cD", "steep_meridian_deg"))
# tag: the surface of a depth or the reference line of a lens rise, else None.
LengthUsed = namedtuple("LengthUsed", ("value_um", "device", "tag"))


def made(entry: Entry) -> str:
    """Return when what a reading says was so: the day on an old map, else when it was taken."""
    return str(entry.body.get("made_on") or entry.body["taken"])


def latest_visit(entries: list[Entry], visit_days: int) -> list[Entry]:
    """Return the readings made within ``visit_days`` of the newest of them."""
    if len(entries) < 2:
        return entries
    newest = max([day_number(made(entry)) for entry in entries])
    return [entry for entry in entries if newest - day_number(made(entry)) <= visit_days]


def device_of(entry: Entry) -> str:
    """Return the device of a reading, written one way: case and spaces do not make a new device."""
    return " ".join(str(entry.body.get("device") or "").lower().split())


def devices_of(entries: list[Entry]) -> list[str]:
    """Return the different devices of some readings, sorted."""
    return sorted({device_of(entry) for entry in entries})


def length_used(entries: list[Entry], field: str, tag_field: str | None) -> LengthUsed | None:
    """Return the mean [um] of readings of one device and surface; None if none or mixed."""
    tags = {entry.body[tag_field] if tag_field else None for entry in entries}
    if len(devices_of(entries)) != 1 or len(tags) != 1:
        return None
    mean_um = mean_of([entry.body[field] for entry in entries])
    return LengthUsed(mean_um, entries[0].body["device"], tags.pop())


def mean_of(values: list[int]) -> int:
    """Return the mean of recorded integers, rounded once."""
    total = 0
    for value in values:
        total += value
    return to_step(total / len(values), 1.0)


def minus_form(body: dict[str, int | None]) -> tuple[int, int, int | None]:
    """Return sphere, cylinder [cD] and axis [deg] of a recorded refraction, in minus cylinder."""
    sphere_cD, cylinder_cD = body["sphere_cD"] or 0, body["cylinder_cD"] or 0
    axis_deg = body["axis_deg"]
    if cylinder_cD == 0 or axis_deg is None:
        return sphere_cD, 0, None
    if cylinder_cD < 0:
        return sphere_cD, cylinder_cD, axis_deg
    turned_deg = axis_deg + 90 if axis_deg <= 90 else axis_deg - 90
    return sphere_cD + cylinder_cD, -cylinder_cD, turned_deg


def is_placed(entry: Entry) -> bool:
    """Return whether a refraction's plane is known, and its vertex distance where it has one."""
    plane, vertex_um = entry.body["plane"], entry.body["vertex_um"]
    if plane == "spectacle":
        return vertex_um is not None and 8000 <= vertex_um <= 18000
    return plane == "corneal" and vertex_um is None


def vector_of(entry: Entry) -> PowerVector:
    """Return a recorded refraction as a power vector [D] in its own plane."""
    sphere_cD, cylinder_cD, axis_deg = minus_form(entry.body)
    return power_vector(Refraction(sphere_cD / 100.0, cylinder_cD / 100.0, axis_deg or 180))


def corneal_vector_of(entry: Entry) -> PowerVector:
    """Return a recorded refraction as a power vector [D] at the cornea."""
    vertex_um = entry.body["vertex_um"] if entry.body["plane"] == "spectacle" else 0
    return at_cornea(vector_of(entry), vertex_um / 1000.0)


def mean_vector(vectors: list[PowerVector]) -> PowerVector:
    """Return the mean of power vectors [D]."""
    total = PLANO
    for vector in vectors:
        total = added(total, vector)
    count = len(vectors)
    return PowerVector(total.mean_d / count, total.j0_d / count, total.j45_d / count)


def refraction_used(entries: list[Entry]) -> RefractionUsed | None:
    """Return the refraction to plan with; None if there is none or one has no known plane.

    Readings at one vertex distance are averaged there; else all are moved to the cornea first.
    """
    if not entries or not all([is_placed(entry) for entry in entries]):
        return None
    planes = {(entry.body["plane"], entry.body["vertex_um"]) for entry in entries}
    if len(entries) == 1:
        sphere_cD, cylinder_cD, axis_deg = minus_form(entries[0].body)
        plane, vertex_um = planes.pop()
        return RefractionUsed(sphere_cD, cylinder_cD, axis_deg, plane, vertex_um)
    if len(planes) == 1:
        plane, vertex_um = planes.pop()
        mean = mean_vector([vector_of(entry) for entry in entries])
        return RefractionUsed(*recorded_refraction(mean), plane=plane, vertex_um=vertex_um)
    mean = mean_vector([corneal_vector_of(entry) for entry in entries])
    return RefractionUsed(*recorded_refraction(mean), plane="corneal", vertex_um=None)


def recorded_refraction(vector: PowerVector) -> tuple[int, int, int | None]:
    """Return sphere, cylinder [cD] and axis [deg] of a power vector as whole numbers."""
    exact = refraction_of(vector)
    sphere_cD = to_step(exact.sphere_d * 100.0, 1.0)
    cylinder_cD = to_step(exact.cylinder_d * 100.0, 1.0)
    if cylinder_cD == 0:
        return sphere_cD, 0, None
    return sphere_cD, cylinder_cD, whole_axis(exact.axis_deg)


def whole_axis(axis_deg: float) -> int:
    """Return an axis as a whole number from 1 to 180 [deg]."""
    # Two machines may miss an exact half by its last bit, each on another side: to the billionth of
    # a degree first.
    whole_deg = to_step(to_step(axis_deg, 1e-9) / 1e9, 1.0)
    return 180 if whole_deg in (0, 180) else whole_deg


def cornea_of(entry: Entry) -> CorneaUsed | None:
    """Return one keratometry in hundredths of a dioptre; None where it contradicts itself."""
    body = entry.body
    if body["unit"] == "mm":
        radii = (body["flat_radius_um"], body["steep_radius_um"])
        if None in radii:
            return None
        flat_cD, steep_cD = [power_of_um(radius_um) for radius_um in radii]
    else:
        flat_cD, steep_cD = body["flat_cD"], body["steep_cD"]
    if flat_cD is None or steep_cD is None or not 3000 <= flat_cD <= steep_cD <= 6100:
        return None
    return CorneaUsed(flat_cD, steep_cD, body["steep_meridian_deg"])


def power_of_um(radius_um: int) -> int:
    """Return the keratometry reading [cD] of a corneal radius [um]."""
    return to_step(power_of_radius(radius_um / 1000.0) * 100.0, 1.0)


def cornea_used(entries: list[Entry]) -> CorneaUsed | None:
    """Return the keratometry to plan with; None if none, contradictory, or of two devices."""
    corneas = [cornea_of(entry) for entry in entries]
    if len(devices_of(entries)) != 1 or None in corneas:
        return None
    if len(corneas) == 1:
        return corneas[0]
    mean = mean_vector([vector_of_cornea(cornea) for cornea in corneas if cornea is not None])
    half_d = astigmatism(mean)
    return CorneaUsed(
        to_step((mean.mean_d - half_d) * 100.0, 1.0),
        to_step((mean.mean_d + half_d) * 100.0, 1.0),
        whole_axis(axis_of(mean)),
    )


def vector_of_cornea(cornea: CorneaUsed) -> PowerVector:
    """Return a keratometry as a power vector [D]."""
    meridian_deg = cornea.steep_meridian_deg
    return corneal_power(cornea.flat_cD / 100.0, cornea.steep_cD / 100.0, meridian_deg)
