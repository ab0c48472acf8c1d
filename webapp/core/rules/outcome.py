"""D31: what the first eye taught before the second one is operated on."""

from webapp.core.exam import Exam
from webapp.core.finding import Finding, note, stop
from webapp.core.plan.fellow_outcome import Outcome, outcome, residual_um
from webapp.core.plan.fellow_shown import power_words, vault_words
from webapp.core.units import to_step
from webapp.core.vault import is_surprising
from webapp.core.wording import micrometres, size_in_dioptres

SHARED = " The two eyes may share the cause: a diameter, a label, a power."


def findings(exam: Exam) -> list[Finding]:
    """Return the stops for a first eye that came out otherwise than foretold."""
    found = outcome(exam)
    if found is None:
        return []
    return vault(exam, found) + power(exam, found) + early(exam, found)


def vault(exam: Exam, found: Outcome) -> list[Finding]:
    """D31: the first eye's vault far from its prediction."""
    if found.vault is None:
        return []
    most_e1 = exam.limits["outcome_scales_e1"]
    scale_um = found.vault.predicted.scale_um
    if not is_surprising(residual_um(found.vault), scale_um, most_e1 / 10.0):
        return []
    return [stop(
        "D31.vault", "outcome", "First eye: vault far from its prediction",
        vault_words(found.vault) + " More than "
        + micrometres(to_step(most_e1 / 10.0 * scale_um, 1.0)) + " off is looked into." + SHARED
        + " It does not move this eye\u2019s prediction.",
        "Measure the first eye\u2019s vault again, and check lens label, length and diameters of"
        " both eyes before this lens is ordered.", found.vault.records,
    )]  # fmt: skip


def power(exam: Exam, found: Outcome) -> list[Finding]:
    """D31: the first eye's mean refraction far from its prediction."""
    if found.power is None:
        return []
    most_cD = exam.limits["outcome_refraction_cD"]
    if abs(found.power.found_cD - found.power.predicted_cD) <= most_cD:
        return []
    return [stop(
        "D31.refraction", "outcome", "First eye: refraction far from its prediction",
        power_words(found.power) + " That is more than " + size_in_dioptres(most_cD) + "." + SHARED,
        "Refract the first eye again, and check lens label, vertex distance and keratometry of"
        " both eyes before this lens is ordered.", found.power.records,
    )]  # fmt: skip


def early(exam: Exam, found: Outcome) -> list[Finding]:
    """D31: an outcome of the first weeks is used, but has not settled."""
    days = [part.days for part in (found.vault, found.power) if part is not None]
    if not days or min(days) >= exam.limits["outcome_settled_days"]:
        return []
    return [note(
        "D31.early", "outcome", "First eye: not settled yet",
        "What was found is from day " + str(min(days)) + "; vault and refraction settle by day "
        + str(exam.limits["outcome_settled_days"]) + ".",
        "If it can wait, measure the first eye again then.", [],
    )]  # fmt: skip
