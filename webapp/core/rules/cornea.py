"""D10 to D12: keratometry that was mistyped, turned round or unusual."""

from webapp.core.describe_values import value_text
from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.finding import Finding, caution, fixed_stop
from webapp.core.used import cornea_of, power_of_um
from webapp.core.wording import size_in_dioptres

POWERS = ("flat_cD", "steep_cD")
RADII = ("flat_radius_um", "steep_radius_um")


def findings(exam: Exam) -> list[Finding]:
    """Return findings about the cornea."""
    found = []
    for entry in exam.this.readings["reading.keratometry"]:
        wrong = unit(entry) or order(entry) or impossible(entry)
        found += wrong or unusual(exam, entry)
    return found


def unit(entry: Entry) -> list[Finding]:
    """D11: millimetres typed as dioptres or the reverse, or numbers in both units."""
    body = entry.body
    in_mm = body["unit"] == "mm"
    given, other = (RADII, POWERS) if in_mm else (POWERS, RADII)
    values = [body[name] for name in given]
    # As dioptres a radius of 6 to 10 mm reads 600 to 1000 hundredths; as micrometres a power of
    # 30 to 60 D reads 30000 to 60000.
    low, high = (30000, 60000) if in_mm else (600, 1000)
    swapped = any(value is not None and low <= value <= high for value in values)
    known = body["unit"] in ("D", "mm") and None not in values
    if known and not swapped and all(body[name] is None for name in other):
        return []
    return [fixed_stop(
        "D11.unit", "cornea", "Keratometry unit",
        "The keratometry does not fit its unit (" + value_text(entry) + "). Millimetres taken for"
        " dioptres would leave 0.5 to 2.7 D.",
        "Read the unit on the instrument again and correct the reading.", [entry.id],
    )]  # fmt: skip


def order(entry: Entry) -> list[Finding]:
    """D12: flat steeper than steep means that the meridians were swapped."""
    body = entry.body
    if body["unit"] == "mm":
        swapped = body["flat_radius_um"] < body["steep_radius_um"]
    else:
        swapped = body["flat_cD"] > body["steep_cD"]
    if not swapped:
        return []
    return [fixed_stop(
        "D12.order", "cornea", "Flat and steep swapped",
        "The flat reading is steeper than the steep one (" + value_text(entry)
        + "); the cylinder would come out across its true axis.",
        "Correct the reading; check which meridian belongs to which value.", [entry.id],
    )]  # fmt: skip


def impossible(entry: Entry) -> list[Finding]:
    """D10, outer limits: no cornea reads below 30 D or above 60 D."""
    if cornea_of(entry) is not None:
        flat_cD, steep_cD = powers(entry)
        if flat_cD >= 3000 and steep_cD <= 6000:
            return []
    return [fixed_stop(
        "D10.impossible", "cornea", "Impossible keratometry",
        value_text(entry) + " lies outside 30 to 60 D.",
        "Measure again and correct the reading.", [entry.id],
    )]  # fmt: skip


def powers(entry: Entry) -> tuple[int, int]:
    """Return flat and steep power [cD] of a keratometry that is complete."""
    body = entry.body
    if body["unit"] == "mm":
        return power_of_um(body["flat_radius_um"]), power_of_um(body["steep_radius_um"])
    return body["flat_cD"], body["steep_cD"]


def unusual(exam: Exam, entry: Entry) -> list[Finding]:
    """D10, inner limits."""
    flat_cD, steep_cD = powers(entry)
    low_cD, high_cD = exam.limits["cornea_flat_caution_cD"], exam.limits["cornea_steep_caution_cD"]
    if flat_cD >= low_cD and steep_cD <= high_cD:
        return []
    return [caution(
        "D10.unusual", "cornea", "Unusual keratometry",
        value_text(entry) + ": outside " + size_in_dioptres(low_cD) + " to "
        + size_in_dioptres(high_cD) + ". A steep cornea may be a diseased one.",
        "Measure again; have a steep cornea mapped.", [entry.id],
    )]  # fmt: skip
