"""D24: signs that what is recorded for one eye belongs to the other."""

from webapp.core.earlier import dated_refractions, of_this_visit
from webapp.core.entry import Entry
from webapp.core.exam import Exam, Eye
from webapp.core.finding import Finding, fixed_stop
from webapp.core.optics import blur, subtracted
from webapp.core.units import to_step
from webapp.core.used import corneal_vector_of, is_placed, mean_vector

SOURCES = ("auto-refractions", "earlier refractions")


def findings(exam: Exam) -> list[Finding]:
    """Return the finding for refractions that fit only when the eyes change places."""
    for source in SOURCES:
        here, there = (others(exam, eye, source) for eye in (exam.this, exam.fellow))
        if here and there and is_swapped(exam, here, there):
            return [swapped(exam, source, here + there)]
    return []


def others(exam: Exam, eye: Eye, source: str) -> list[Entry]:
    """Return the refractions of one eye from one other source."""
    if source == "auto-refractions":
        return of_this_visit(eye, "reading.auto_refraction", exam.limits["visit_days"])
    return [one.entry for one in dated_refractions(eye)]


def manifest(eye: Eye) -> list[Entry]:
    """Return the placed refractions of this visit."""
    return [one for one in eye.readings["reading.refraction"] if is_placed(one)]


def is_swapped(exam: Exam, here: list[Entry], there: list[Entry]) -> bool:
    """Return whether both eyes are far from their own other refractions and near each other's.

    Args:
        exam: the eye and its fellow.
        here: other refractions recorded for this eye.
        there: other refractions of the same source recorded for the fellow.
    """
    mine, theirs = manifest(exam.this), manifest(exam.fellow)
    if not mine or not theirs:
        return False
    far_cD, near_cD = exam.limits["swap_apart_cD"], exam.limits["swap_fit_cD"]
    own = min(apart_cD(mine, here), apart_cD(theirs, there))
    crossed = max(apart_cD(mine, there), apart_cD(theirs, here))
    return bool(own > far_cD and crossed <= near_cD)


def apart_cD(entries: list[Entry], others: list[Entry]) -> int:
    """Return the blur strength [cD] between the mean of readings and the nearest of others."""
    mean = mean_vector([corneal_vector_of(one) for one in entries])
    apart = [blur(subtracted(mean, corneal_vector_of(one))) for one in others]
    return to_step(min(apart) * 100.0, 1.0)


def swapped(exam: Exam, source: str, records: list[Entry]) -> Finding:
    """Return the stop: nobody can plan while it is open which eye is which."""
    mine = manifest(exam.this) + manifest(exam.fellow)
    return fixed_stop(
        "D24.swapped", "wrong_eye", "Right and left may be swapped",
        "The refractions of the two eyes fit the " + source + " only when right and left change"
        " places.",
        "Look at the paper and the patient; withdraw what stands at the wrong eye.",
        [one.id for one in mine + records],
    )  # fmt: skip
