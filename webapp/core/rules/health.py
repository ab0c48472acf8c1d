"""D06 endothelium, D07 pupil, D08 pressure: what the eye must be able to bear for decades."""

from webapp.core.age import age_range, age_words
from webapp.core.dates import days_from
from webapp.core.endothelium import minimum_count
from webapp.core.exam import Exam, Eye
from webapp.core.finding import Finding, caution, note, stop
from webapp.core.units import to_step
from webapp.core.wording import capital, millimetres, pressure


def findings(exam: Exam) -> list[Finding]:
    """Return findings about endothelium, pupil and pressure."""
    cells = endothelium(exam) + cell_shapes(exam) + old_count(exam)
    return cells + pupil(exam) + iop(exam) + iop_eyes(exam) + disc(exam)


def lowest_count(eye: Eye) -> int | None:
    """Return the lowest endothelial count [cells/mm2] of an eye: instruments are not alike."""
    entries = eye.readings["reading.endothelial_count"]
    return min([one.body["ecd_pmm2"] for one in entries]) if entries else None


def needed_count(exam: Exam, age_y: int, row: str) -> int:
    """Return the count [cells/mm2] that the row "stop", "caution" or "note" asks for at an age."""
    limits = exam.limits
    exact = minimum_count(
        float(age_y),
        float(limits["ecd_" + row + "_end_pmm2"]),
        float(limits["ecd_end_age_y"]),
        limits["ecd_" + row + "_loss_e4_per_y"] / 10000.0,
        limits["ecd_surgical_loss_e4"] / 10000.0,
    )
    return to_step(exact, 1.0)


def endothelium(exam: Exam) -> list[Finding]:
    """D06: enough cells now to have enough at the end of a long life; cells do not grow back."""
    count = lowest_count(exam.this)
    if count is None or exam.person is None:
        return []
    youngest_y = age_range(exam.person, exam.today)[0]
    records = [one.id for one in exam.this.readings["reading.endothelial_count"]]
    for row, make, title in (
        ("stop", stop, "Too few endothelial cells"),
        ("caution", caution, "Few endothelial cells"),
        ("note", note, "Endothelial reserve"),
    ):
        needed = needed_count(exam, youngest_y, row)
        if count < needed:
            text = (
                str(count) + " cells/mm\u00b2. At age " + age_words(exam.person, exam.today) + ", "
                + str(needed) + " are wanted to keep "
                + str(exam.limits["ecd_" + row + "_end_pmm2"]) + " at age "
                + str(exam.limits["ecd_end_age_y"]) + ": cells do not grow back."
            )  # fmt: skip
            return [make(
                "D06." + row, "endothelium", title, text,
                "Count again on the same instrument; the surgeon weighs the reserve.", records,
            )]  # fmt: skip
    return []


def cell_shapes(exam: Exam) -> list[Finding]:
    """D06: uneven cells are cells under strain, even where they are still many."""
    entries = exam.this.readings["reading.endothelial_mosaic"]
    if not entries:
        return []
    limits = exam.limits
    most, least = limits["cells_variation_percent"], limits["cells_hexagonal_percent"]
    widest = max([one.body["cv_percent"] for one in entries])
    fewest = min([one.body["hexagonal_percent"] for one in entries])
    signs = []
    if widest > most:
        signs.append("cell size varies by " + str(widest) + " % (above " + str(most) + " %)")
    if fewest < least:
        signs.append(str(fewest) + " % of cells are hexagonal (below " + str(least) + " %)")
    if not signs:
        return []
    return [caution(
        "D06.shapes", "endothelium", "Uneven endothelial cells",
        capital(", ".join(signs)) + ". Cells under strain are lost sooner.",
        "Photograph again; ask how long contact lenses were worn.", [one.id for one in entries],
    )]  # fmt: skip


def old_count(exam: Exam) -> list[Finding]:
    """D06: an old count says less about today."""
    entries = exam.this.readings["reading.endothelial_count"]
    old = [
        one
        for one in entries
        if days_from(one.body["taken"], exam.today) > exam.limits["ecd_old_days"]
    ]
    if not old:
        return []
    return [note(
        "D06.old", "age_of_data", "Old endothelial count",
        "The count is older than six months.", "Count again if the instrument is at hand.",
        [one.id for one in old],
    )]  # fmt: skip


def pupil(exam: Exam) -> list[Finding]:
    """D07: a pupil in dim light that is wider than the optic sees its edge."""
    entries = [one for one in exam.this.readings["reading.pupil"] if one.body["light"] == "mesopic"]
    if not entries:
        return []
    widest_um = max([one.body["diameter_um"] for one in entries])
    records = [one.id for one in entries]
    most_um = exam.limits["pupil_caution_above_um"]
    if widest_um > most_um:
        return [caution(
            "D07.wide", "pupil", "Wide pupil in dim light",
            millimetres(widest_um) + ": above " + millimetres(most_um)
            + " haloes at night are likely.",
            "Talk about driving at night before deciding.", records,
        )]  # fmt: skip
    optics_um = [model.optic_um for model in exam.reference.models]
    if optics_um and widest_um > min(optics_um):
        return [note(
            "D07.optic", "pupil", "Pupil wider than the optic",
            millimetres(widest_um) + " in dim light; the smallest optic measures "
            + millimetres(min(optics_um)) + ".",
            "Mention haloes at night.", records,
        )]  # fmt: skip
    return []


def highest_pressure(eye: Eye) -> int | None:
    """Return the highest pressure [0.1 mmHg] read in an eye."""
    entries = eye.readings["reading.pressure"]
    return max([one.body["iop_dmmHg"] for one in entries]) if entries else None


def iop(exam: Exam) -> list[Finding]:
    """D08: the pressure itself."""
    highest = highest_pressure(exam.this)
    if highest is None:
        return []
    records = [one.id for one in exam.this.readings["reading.pressure"]]
    most = exam.limits["pressure_stop_above_dmmHg"]
    usual = exam.limits["pressure_caution_above_dmmHg"]
    if highest > most:
        return [stop(
            "D08.high", "pressure", "Pressure too high",
            pressure(highest) + ": above " + pressure(most)
            + " glaucoma has to be excluded; a lens and steroid drops can raise it further.",
            "Measure again, look at the disc, refer.", records,
        )]  # fmt: skip
    if highest > usual:
        return [caution(
            "D08.raised", "pressure", "Pressure raised",
            pressure(highest) + ": above " + pressure(usual)
            + " a lens or steroid drops may be badly borne.",
            "Measure again at another hour and look at the disc.", records,
        )]  # fmt: skip
    return []


def disc(exam: Exam) -> list[Finding]:
    """D08: the disc tells of glaucoma that one reading of the pressure can miss."""
    entries = exam.this.readings["reading.optic_disc"]
    looks = {one.body["look"] for one in entries}
    records = [one.id for one in entries]
    if "glaucoma" in looks:
        return [stop(
            "D08.disc", "pressure", "Glaucoma at the disc",
            "The optic disc shows glaucoma; a lens and steroid drops can raise the pressure.",
            "Refer. No lens before a glaucoma specialist has agreed.", records,
        )]  # fmt: skip
    if "suspect" in looks:
        return [caution(
            "D08.disc_suspect", "pressure", "Suspect optic disc",
            "The optic disc looks suspect; a lens or steroid drops may be badly borne.",
            "Have fields and nerve fibres looked at first.", records,
        )]  # fmt: skip
    return []


def iop_eyes(exam: Exam) -> list[Finding]:
    """D08: two eyes of one person with very different pressures."""
    here, there = highest_pressure(exam.this), highest_pressure(exam.fellow)
    most = exam.limits["pressure_eyes_differ_dmmHg"]
    if here is None or there is None or abs(here - there) <= most:
        return []
    records = [
        one.id for eye in (exam.this, exam.fellow) for one in eye.readings["reading.pressure"]
    ]
    return [caution(
        "D08.eyes", "pressure", "Pressures differ",
        pressure(here) + " here, " + pressure(there) + " in the other eye: more than "
        + pressure(most) + " apart.",
        "Measure both eyes again.", records,
    )]  # fmt: skip
