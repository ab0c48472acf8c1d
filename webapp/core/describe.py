"""One line in words for any record: its value with unit, or what was decided."""

from webapp.core.dates import day_words
from webapp.core.describe_surgery import asked_line, decision_line, removal_line, surgery_line
from webapp.core.entry import Entry
from webapp.core.lens_words import lens_of, lens_text
from webapp.core.measured import (
    CLARITY_WORDS,
    LIGHT_WORDS,
    REFERENCE_WORDS,
    SOURCE_WORDS,
    SURFACE_WORDS,
    label_of,
    word_of,
)
from webapp.core.wording import (
    EYE_WORDS,
    acuity,
    capital,
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


def line(entry: Entry) -> str:
    """Return one line about any record for a history: "White-to-white 11.62 mm"."""
    body = entry.body
    if entry.kind in WRITERS:
        text = capital(label_of(entry.kind)) + " " + value_text(entry)
        return text + (", corrected: " + str(entry.reason) if entry.replaces else "")
    if entry.kind == "reading.unread":
        return capital(word_of(body["quantity"])) + " could not be read: " + str(body["why"])
    if entry.kind == "plan.approval":
        return "Approved: " + lens_text(lens_of(body["shown"]["lens"])) + backup_words(body)
    if entry.kind == "late.answered":
        return LATE_ANSWERS[body["answer"]] + ": " + str(entry.reason)
    if entry.kind in LENS_LINES:
        return str(LENS_LINES[entry.kind](entry))
    return other_line(entry)


def backup_words(approved: dict[str, object]) -> str:
    """Return which back-up lens was approved, to follow the chosen one; empty without one."""
    backup = approved.get("backup")
    return "" if backup is None else ", back-up " + lens_text(lens_of(backup))


def order_line(entry: Entry) -> str:
    """Return what was ordered, under which number."""
    body = entry.body
    what = "Ordered" if body.get("backup_of") is None else "Back-up lens ordered"
    return what + ", number " + str(body["number"]) + ": " + lens_text(lens_of(body["lens"]))


def confirmation_line(entry: Entry) -> str:
    """Return what the supplier confirmed, under which reference."""
    body = entry.body
    text = "The supplier confirmed: " + EYE_WORDS[body["for_eye"]].lower() + ", "
    text += lens_text(lens_of(body["lens"])) + ", reference " + str(body["reference"])
    return text + expected_words(body["expected_on"])


def expected_words(expected_on: str | None) -> str:
    """Return when a lens is expected, to follow what is said of its order."""
    return "" if expected_on is None else ", expected " + day_words(expected_on)


def shipping_line(entry: Entry) -> str:
    """Return when the lens was shipped and when it is expected."""
    body = entry.body
    text = "Shipped " + day_words(body["shipped_on"])
    return text + expected_words(body["expected_on"])


def box_line(entry: Entry) -> str:
    """Return how a box compared with its order, and which one it was."""
    body = entry.body
    serial = body["first"]["serial"]
    text = "Lens box checked" + ("" if serial is None else ", serial number " + str(serial))
    return text + (": agrees" if body["outcome"] == "agrees" else ": differs, not to be implanted")


def listed_line(entry: Entry) -> str:
    """Return the day of the list that an eye was put on."""
    place = entry.body["place"]
    text = "On the list of " + day_words(entry.body["operate_on"])
    return text + ("" if place is None else ", " + str(place))


def theatre_line(entry: Entry) -> str:
    """Return how a check in theatre came out."""
    ends = {
        "agrees": "it is the released lens",
        "differs": "not the released lens, not to be implanted",
        "not_implanted": "not implanted. " + str(entry.body["note"]),
    }
    return "Checked in theatre: " + ends[entry.body["outcome"]]


LENS_LINES = {
    "order.placed": order_line,
    "order.confirmed": confirmation_line,
    "order.shipped": shipping_line,
    "order.received": lambda entry: "The lens arrived " + day_words(entry.body["received_on"]),
    "label.checked": box_line,
    "theatre.listed": listed_line,
    "theatre.checked": theatre_line,
    "surgery.implanted": surgery_line,
    "surgery.explanted": removal_line,
    "exchange.decided": decision_line,
    "exchange.asked": asked_line,
}


def other_line(entry: Entry) -> str:
    """Return one line about a record that carries a text or nothing but its kind."""
    opening = str(OPENINGS.get(entry.kind, entry.kind))
    added = entry.body.get("text") or entry.body.get("supplier_reference") or entry.reason
    return opening + (": " + added if isinstance(added, str) and added else "")


LATE_ANSWERS = {
    "keep": "The order is kept after a change",
    "cancel": "The order is to be cancelled after a change",
    "plan_again": "The order is to be cancelled and the eye planned again",
}
OPENINGS = {
    "person.registered": "Registered",
    "person.compared": "Compared with another registration",
    "person.merged": "Joined with another registration",
    "person.split": "Separated from another registration",
    "history.answers": "Questions answered",
    "history.health": "Questions about general health answered",
    "record.void": "A record was withdrawn",
    "plan.request": "Sent for a plan",
    "plan.question": "The surgeon asks",
    "plan.answer": "Answered",
    "plan.decline": "Declined",
    "plan.withdrawal": "Taken back",
    "decision.settled": "A contradiction was settled",
    "urgent.told": "Somebody was told of an urgent reading",
    "urgent.answered": "An urgent reading was answered",
    "recall.contact": "Called back for a visit",
    "order.referenced": "Supplier's reference",
    "order.cancelled": "Order cancelled",
    "order.printed": "Order sheet printed",
    "backup.released": "Back-up lens released instead of the chosen one",
    "theatre.confirmed": "Confirmed in theatre by a second person",
    "box.put_aside": "A box was put aside in theatre",
    "box.answered": "What became of a box that was put aside was recorded",
}
