"""E2: readings entered as from before surgery, though a lens already lay in the eye.

A plan is of the natural eye. A refraction read through a lens is what the lens left, and a depth
may end at the lens: a plan made of them is wrong by the lens itself. Nothing is refused, because a
camp may not have heard of the surgery; the values are shown, and no plan rests on them silently.
The stop may be overridden in writing, since a lens may have been taken out without a record of it.
What was read after a recorded removal is of the natural eye again. Severities: common practice.
"""

from webapp.core.case.implants import implants, was_in
from webapp.core.case.taken_out import day_of
from webapp.core.dates import day_words
from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.finding import Finding, caution, stop
from webapp.core.measured import word_of

# What a lens in the eye changes most, and what a plan calculates from or compares it with.
ALTERED = (
    "reading.refraction",
    "reading.cycloplegic_refraction",
    "reading.auto_refraction",
    "reading.chamber_depth",
    "reading.lens_rise",
)
DO = (
    "Look at the day of surgery and at the eye. If a lens lay in it, withdraw the readings and"
    " enter them after surgery."
)


def findings(exam: Exam) -> list[Finding]:
    """Return what speaks against readings in use from after this eye's surgery."""
    operated = implants(exam.standing, exam.this.eye)
    if not operated:
        return []
    first = min([one.entry for one in operated], key=day_of)
    used = [one for entries in exam.this.readings.values() for one in entries]
    late = [one for one in used if was_in(operated, one)]
    altered = [one for one in late if one.kind in ALTERED]
    others = [one for one in late if one.kind not in ALTERED]
    found = []
    if altered:
        found.append(stop(
            "E2.altered", "operated", "Measured with a lens in the eye",
            said(altered, first) + " They describe the eye and the lens in it together; a plan made"
            " of them is wrong by that lens.", DO, ids(altered),
        ))  # fmt: skip
    if others:
        found.append(caution(
            "E2.others", "operated", "Measured after surgery",
            said(others, first) + " Surgery may have changed them.", DO, ids(others),
        ))  # fmt: skip
    return found


def said(late: list[Entry], surgery: Entry) -> str:
    """Return which quantities were taken after which day."""
    words = ", ".join(sorted({word_of(one.kind) for one in late}))
    return "Taken after the surgery of " + day_words(day_of(surgery)) + ": " + words + "."


def ids(entries: list[Entry]) -> list[str]:
    """Return the ids of some records, sorted."""
    return sorted([one.id for one in entries])
