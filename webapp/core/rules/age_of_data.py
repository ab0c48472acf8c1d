"""D35: readings that are too old for the eye they describe, or dated in the future."""

from webapp.core.dates import days_from
from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.finding import Finding, caution, fixed_stop
from webapp.core.measured import word_of
from webapp.core.used import made

BIOMETRY = (
    "reading.keratometry",
    "reading.chamber_depth",
    "reading.corneal_thickness",
    "reading.white_to_white",
    "reading.sulcus_to_sulcus",
    "reading.lens_rise",
)


def findings(exam: Exam) -> list[Finding]:
    """Return findings about the age of the readings in use."""
    refractions = exam.this.readings["reading.refraction"]
    biometry = [one for kind in BIOMETRY for one in exam.this.readings[kind]]
    found = old(exam, refractions, exam.limits["old_refraction_days"], "D35.refraction")
    found += old(exam, biometry, exam.limits["old_biometry_days"], "D35.biometry")
    maps = exam.this.readings["reading.tomography"]
    found += old(exam, maps, exam.limits["old_biometry_days"], "D35.map")
    return found + future(exam)


def old(exam: Exam, entries: list[Entry], most_days: int, code: str) -> list[Finding]:
    """Return the caution for readings older than a limit, named by quantity."""
    late = [one for one in entries if days_from(made(one), exam.today) > most_days]
    if not late:
        return []
    oldest_days = max([days_from(made(one), exam.today) for one in late])
    return [caution(
        code, "age_of_data", "Old readings: " + words(late),
        "The oldest was made " + str(oldest_days) + " days ago; after " + str(most_days)
        + " days the eye may have changed.",
        "Measure again.", [one.id for one in late],
    )]  # fmt: skip


def words(entries: list[Entry]) -> str:
    """Return the quantities of some readings, each named once."""
    return ", ".join(sorted({word_of(one.kind) for one in entries}))


def future(exam: Exam) -> list[Finding]:
    """A reading dated after tomorrow comes from a wrong clock, so its age is unknown."""
    ahead = [
        one
        for entries in exam.this.readings.values()
        for one in entries
        if days_from(one.body["taken"], exam.today) < -1
    ]
    if not ahead:
        return []
    return [fixed_stop(
        "D35.future", "age_of_data", "Date in the future",
        "Readings are dated after today (" + words(ahead) + "): a device's clock is wrong, so their"
        " age is unknown.",
        "Set the clock; correct the readings with the day they were taken.",
        sorted([one.id for one in ahead]),
    )]  # fmt: skip
