"""Findings about what the surgeon aims at."""

from webapp.core.aims import OWN_EYES_NEEDED, target_vector
from webapp.core.exam import Exam
from webapp.core.finding import Finding, caution, fixed_stop
from webapp.core.units import to_step
from webapp.core.wording import dioptres, size_in_dioptres


def findings(exam: Exam) -> list[Finding]:
    """Return findings about the target and the planned change of the cornea."""
    return long_sighted(exam) + own_eyes(exam)


def long_sighted(exam: Exam) -> list[Finding]:
    """A short-sighted person is never made long-sighted on purpose (common practice)."""
    used = exam.this.refraction
    if exam.aims.target is None or used is None or 2 * used.sphere_cD + used.cylinder_cD >= 0:
        return []
    mean_cD = to_step(target_vector(exam.aims).mean_d * 100.0, 1.0)
    most_cD = exam.limits["target_most_plus_cD"]
    if mean_cD <= most_cD:
        return []
    return [fixed_stop(
        "target.long_sighted", "target", "Aim is long-sighted",
        "The aim has a mean sphere of " + dioptres(mean_cD) + "; more than " + dioptres(most_cD)
        + " is never aimed at in a short-sighted eye: it sees clearly nowhere without effort.",
        "Check the sign, and choose another target.", [],
    )]  # fmt: skip


def own_eyes(exam: Exam) -> list[Finding]:
    """A change of the cornea that rests on no eyes of this centre is a guess about a small thing.

    What incisions did to the corneas of this centre is counted nowhere, so it is always asked.
    """
    change = exam.aims.change
    if change is None:
        return []
    return [caution(
        "surgical_change.own_eyes", "target", "Planned change of the cornea",
        "The plan counts on " + size_in_dioptres(change.flattening_cD) + " of flattening at "
        + str(change.meridian_deg) + ". Nothing shows that own eyes stand behind it, and "
        + str(OWN_EYES_NEEDED) + " are needed: in 121 published eyes the mean was 0.23 D, but"
        " single eyes scattered by 0.52 D about it (SD).",
        "Plan without it until this centre knows its own incision.", [],
    )]  # fmt: skip
