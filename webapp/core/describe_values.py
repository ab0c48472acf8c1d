"""The value of any reading in words, with its unit: "11.62 mm"."""

from webapp.core.dates import day_words
from webapp.core.entry import Entry
from webapp.core.measured import (
    CLARITY_WORDS,
    LIGHT_WORDS,
    REFERENCE_WORDS,
    SOURCE_WORDS,
    SURFACE_WORDS,
)
from webapp.core.wording import (
    acuity,
    dioptres,
    fixed,
    micrometres,
    millimetres,
    pressure,
    refraction,
    size_in_dioptres,
)


def value_text(entry: Entry) -> str:
    """Return a reading's value with units, such as "3.05 mm from endothelium"."""
    if entry.kind not in WRITERS:
        return ""
    return str(WRITERS[entry.kind](entry))


def refraction_value(entry: Entry) -> str:
    """Return a refraction with the plane it was measured in."""
    body = entry.body
    text = refraction(*[body[name] for name in ("sphere_cD", "cylinder_cD", "axis_deg")])
    if body["plane"] == "corneal":
        return text + " at the cornea"
    if body["vertex_um"] is None:
        return text + ", vertex distance missing"
    return text + ", vertex " + fixed(body["vertex_um"], 1000, 1) + " mm"


def keratometry_value(entry: Entry) -> str:
    """Return keratometry in the unit in which it was read."""
    body = entry.body
    if body["unit"] == "mm":
        flat, steep, scale, unit = body["flat_radius_um"], body["steep_radius_um"], 1000, " mm"
    else:
        flat, steep, scale, unit = body["flat_cD"], body["steep_cD"], 100, " D"
    if flat is None or steep is None:
        return "incomplete, read in" + unit
    pair = fixed(flat, scale, 2) + " / " + fixed(steep, scale, 2) + unit
    return pair + ", steep at " + str(body["steep_meridian_deg"])


def depth_value(entry: Entry) -> str:
    """Return a chamber depth with the surface it was measured from."""
    body = entry.body
    surface = SURFACE_WORDS.get(body["surface"]) or "from a surface nobody named"
    return millimetres(body["depth_um"]) + " " + surface


def rise_value(entry: Entry) -> str:
    """Return a lens rise with the line it was measured from."""
    body = entry.body
    return millimetres(body["rise_um"]) + " " + REFERENCE_WORDS[body["reference"]]


def angle_value(entry: Entry) -> str:
    """Return an angle grade, an angle in degrees, or both."""
    body = entry.body
    pieces = []
    if body["grade"] is not None:
        pieces.append("grade " + str(body["grade"]) + " of 4")
    if body["angle_deg"] is not None:
        pieces.append(str(body["angle_deg"]) + " degrees")
    return ", ".join(pieces)


def earlier_value(entry: Entry) -> str:
    """Return an earlier refraction with where it was read and when it was made."""
    source, dated = SOURCE_WORDS[entry.body["source"]], day_words(entry.body["dated"])
    return refraction_value(entry) + ", from " + source + " of " + dated


def tomography_value(entry: Entry) -> str:
    """Return what a map of the cornea says: its numbers, its grade, its warning."""
    body = entry.body
    pieces = ["Kmax " + size_in_dioptres(body["kmax_cD"])]
    if body["is_cD"] is not None:
        pieces.append("I\u2212S " + dioptres(body["is_cD"]))
    if body["map_grade"] != "not_given":
        pieces.append("grade " + body["map_grade"])
    if body["device_flag"] == "warning":
        pieces.append("the device warns")
    if body.get("made_on") is not None:
        pieces.append("map of " + day_words(body["made_on"]))
    return ", ".join(pieces)


def mosaic_value(entry: Entry) -> str:
    """Return variation and share of hexagonal cells."""
    body = entry.body
    return (
        "variation " + str(body["cv_percent"]) + " %, hexagonal "
        + str(body["hexagonal_percent"]) + " %"
    )  # fmt: skip


def iris_value(entry: Entry) -> str:
    """Return how the iris is bowed."""
    return str(entry.body["profile"])


def disc_value(entry: Entry) -> str:
    """Return how the optic disc looks."""
    return str(entry.body["look"])


def vault_value(entry: Entry) -> str:
    """Return a vault with the light it was seen in: it is lower in bright light."""
    return micrometres(entry.body["vault_um"]) + " " + LIGHT_WORDS[entry.body["light"]]


def acuity_value(entry: Entry) -> str:
    """Return an acuity after surgery with whether glasses were worn."""
    worn = "without glasses" if entry.body["correction"] == "uncorrected" else "best corrected"
    return acuity(entry.body["logmar_c"]) + " " + worn


def pupil_value(entry: Entry) -> str:
    """Return a pupil with the light it was measured in."""
    return millimetres(entry.body["diameter_um"]) + " " + LIGHT_WORDS[entry.body["light"]]


WRITERS = {
    "followup.vault": vault_value,
    "followup.refraction": refraction_value,
    "followup.acuity": acuity_value,
    "followup.pressure": lambda entry: pressure(entry.body["iop_dmmHg"]),
    "followup.axis_seen": lambda entry: str(entry.body["seen_axis_deg"]) + " degrees",
    "followup.endothelial_count": lambda entry: str(entry.body["ecd_pmm2"]) + " cells/mm\u00b2",
    "followup.angle": angle_value,
    "followup.pupil": pupil_value,
    "followup.lens_clarity": lambda entry: CLARITY_WORDS[entry.body["clarity"]],
    "reading.refraction": refraction_value,
    "reading.acuity": lambda entry: acuity(entry.body["logmar_c"]),
    "reading.keratometry": keratometry_value,
    "reading.chamber_depth": depth_value,
    "reading.corneal_thickness": lambda entry: micrometres(entry.body["thickness_um"]),
    "reading.white_to_white": lambda entry: millimetres(entry.body["diameter_um"]),
    "reading.sulcus_to_sulcus": lambda entry: millimetres(entry.body["diameter_um"]),
    "reading.lens_rise": rise_value,
    "reading.pupil": pupil_value,
    "reading.pressure": lambda entry: pressure(entry.body["iop_dmmHg"]),
    "reading.endothelial_count": lambda entry: str(entry.body["ecd_pmm2"]) + " cells/mm\u00b2",
    "reading.angle": angle_value,
    "reading.cycloplegic_refraction": refraction_value,
    "reading.auto_refraction": refraction_value,
    "reading.earlier_refraction": earlier_value,
    "reading.tomography": tomography_value,
    "reading.endothelial_mosaic": mosaic_value,
    "reading.lens_thickness": lambda entry: millimetres(entry.body["thickness_um"]),
    "reading.iris_profile": iris_value,
    "reading.optic_disc": disc_value,
}
