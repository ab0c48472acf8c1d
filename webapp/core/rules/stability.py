"""D02: whether the refraction rests, shown by refractions made a year or more apart."""

from webapp.core.dates import day_words, days_from
from webapp.core.earlier import Dated, dated_refractions
from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.finding import Finding, caution, stop
from webapp.core.optics import PowerVector, blur, subtracted
from webapp.core.units import to_step
from webapp.core.used import corneal_vector_of, is_placed, mean_vector
from webapp.core.wording import size_in_dioptres


def findings(exam: Exam) -> list[Finding]:
    """Return what the refractions of now and of a year ago say about stability."""
    now = present(exam)
    if not now:
        return []
    before = a_year_before(exam, now)
    if not before:
        return [caution(
            "D02.no_earlier", "stability", "Stability not shown",
            "There is no refraction from a year ago; only the answer speaks for stability.",
            "Read old glasses or an old prescription if there is one.", [one.id for one in now],
        )]  # fmt: skip
    return changed(exam, now, before)


def present(exam: Exam) -> list[Entry]:
    """Return the refractions of this visit whose plane is known."""
    return [one for one in exam.this.readings["reading.refraction"] if is_placed(one)]


def a_year_before(exam: Exam, now: list[Entry]) -> list[Dated]:
    """Return the newest refractions made long enough before the present ones.

    Several of about one date all count: an old pair of glasses and a record of the same month may
    contradict each other.
    """
    first = sorted(one.body["taken"] for one in now)[0]
    old_enough = [
        one
        for one in dated_refractions(exam.this)
        if days_from(one.date, first) >= exam.limits["stability_days"]
    ]
    if not old_enough:
        return []
    newest = sorted(one.date for one in old_enough)[-1]
    return [
        one
        for one in old_enough
        if days_from(one.date, newest) <= exam.limits["visit_days"]
    ]  # fmt: skip


def change_cD(vector: PowerVector, before: list[Dated]) -> int:
    """Return the largest change [cD of blur strength] of a refraction from earlier ones."""
    changes = [blur(subtracted(vector, corneal_vector_of(one.entry))) for one in before]
    return to_step(max(changes) * 100.0, 1.0)


def is_stable(exam: Exam) -> bool:
    """Return whether a refraction from a year ago shows that nothing moved."""
    now = present(exam)
    before = a_year_before(exam, now) if now else []
    return len(before) > 0 and not changed(exam, now, before)


def changed(exam: Exam, now: list[Entry], before: list[Dated]) -> list[Finding]:
    """Return the finding for a change of refraction over a year or more.

    A change that each of several present readings shows is not scatter of one of them.
    """
    vectors = [corneal_vector_of(one) for one in now]
    moved_cD = change_cD(mean_vector(vectors), before)
    usual_cD = exam.limits["stability_caution_cD"]
    confirmed = len(vectors) > 1 and min([change_cD(one, before) for one in vectors]) > usual_cD
    records = [one.entry.id for one in before] + [one.id for one in now]
    text = (
        "The refraction moved by " + size_in_dioptres(moved_cD) + " (blur strength) since "
        + day_words(sorted(one.date for one in before)[0]) + ". "
    )  # fmt: skip
    if moved_cD > exam.limits["stability_stop_cD"]:
        return [stop(
            "D02.changed", "stability", "Refraction not stable",
            text + "Growing short sight or an unstable cornea does this.",
            "Repeat the refraction; have the cornea mapped.", records,
        )]  # fmt: skip
    if moved_cD > usual_cD and confirmed:
        return [stop(
            "D02.confirmed", "stability", "Refraction not stable",
            text + "Repeated readings confirm it.",
            "Wait until it rests, and have the cornea mapped.", records,
        )]  # fmt: skip
    if moved_cD > usual_cD:
        return [caution(
            "D02.moved", "stability", "Refraction moved",
            text + "Measurement alone can do this.",
            "Repeat the refraction before deciding.", records,
        )]  # fmt: skip
    return []
