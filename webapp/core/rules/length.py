"""D13, D14: the diameters from which the lens length is inferred."""

from webapp.core.exam import Exam
from webapp.core.finding import Finding, caution, stop
from webapp.core.wording import millimetres


def findings(exam: Exam) -> list[Finding]:
    """Return findings about white-to-white and sulcus-to-sulcus."""
    return white_to_white(exam) + sulcus_against_white(exam)


def white_to_white(exam: Exam) -> list[Finding]:
    """D13: each reading is judged, so that an average cannot hide one that is out of range."""
    entries = exam.this.readings["reading.white_to_white"]
    if not entries:
        return []
    limits = exam.limits
    widths_um = [one.body["diameter_um"] for one in entries]
    low_um, high_um = min(widths_um), max(widths_um)
    records = [one.id for one in entries]
    words = millimetres(low_um) + (" to " + millimetres(high_um) if high_um > low_um else "")
    outer = (limits["wtw_stop_below_um"], limits["wtw_stop_above_um"])
    inner = (limits["wtw_caution_below_um"], limits["wtw_caution_above_um"])
    if low_um < outer[0] or high_um > outer[1]:
        return [stop(
            "D13.extreme", "length", "White-to-white out of range",
            words + ": outside " + millimetres(outer[0]) + " to " + millimetres(outer[1])
            + " no length can be predicted from it.",
            "Measure again, limbus to limbus, horizontally.", records,
        )]  # fmt: skip
    if low_um < inner[0] or high_um > inner[1]:
        return [caution(
            "D13.unusual", "length", "Unusual white-to-white",
            words + ": outside " + millimetres(inner[0]) + " to " + millimetres(inner[1])
            + ", where 95 in 100 eyes lie. A wrong edge gives a wrong length.",
            "Measure again, limbus to limbus, horizontally.", records,
        )]  # fmt: skip
    return []


def sulcus_against_white(exam: Exam) -> list[Finding]:
    """D14: the sulcus is about half a millimetre wider than the white-to-white."""
    sulcus, white = exam.this.sulcus_to_sulcus, exam.this.white_to_white
    if sulcus is None or white is None:
        return []
    gap_um = sulcus.value_um - white.value_um
    low_um, high_um = exam.limits["sulcus_less_wtw_low_um"], exam.limits["sulcus_less_wtw_high_um"]
    if low_um <= gap_um <= high_um:
        return []
    records = [
        one.id
        for kind in ("reading.sulcus_to_sulcus", "reading.white_to_white")
        for one in exam.this.readings[kind]
    ]
    return [caution(
        "D14.gap", "length", "The two diameters do not fit",
        "Sulcus minus white-to-white is " + millimetres(gap_um) + "; usual is "
        + millimetres(low_um) + " to " + millimetres(high_um) + ". One of them is probably wrong.",
        "Measure both again.", records,
    )]  # fmt: skip
