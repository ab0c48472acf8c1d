"""A lens about which less is known than an exchange needs: watched, or taken out, all the same.

Nothing is reckoned and no lens is named. What was found is shown and bound as for an exchange, and
a caution says what was missing.
"""

from webapp.core.exam import Exam
from webapp.core.exchange_plan import alternatives, sure
from webapp.core.exchange_plan.findings import inside, less
from webapp.core.exchange_plan.seen import implant_json, observed_json
from webapp.core.exchange_plan.shown import shown
from webapp.core.exchange_plan.work import Work, lacking_to_decide
from webapp.core.finding import Finding, as_json, ordered
from webapp.core.rules import exchange as exchange_rules
from webapp.core.trust import recalled_stop


def nothing(eye: str, missing: list[dict[str, str]]) -> dict[str, object]:
    """Return the answer about an eye without one lens to speak about."""
    return {
        "eye": eye, "possible": 0, "missing": missing, "decidable": 0, "lacks": missing,
        "implant": None, "shown": None, "shown_without": None, "findings": [],
    }  # fmt: skip


def without_reckoning(
    exam: Exam, work: Work, missing: list[dict[str, str]], core: str
) -> dict[str, object]:
    """Return what can be decided about a lens of which an exchange cannot be reckoned.

    Args:
        exam: the eye as it stands.
        work: what was found, nothing of it reckoned.
        missing: what an exchange lacks, in words.
        core: the name of this core.
    """
    lacks = lacking_to_decide(work.natural, work.lens)
    findings = recalled_stop(exam.reference.recalled_cores, core)
    findings += exchange_rules.findings(exam, work.lens) + inside(exam, work) + less(missing)
    findings = ordered(findings)
    return {
        "eye": exam.this.eye,
        "possible": 0,
        "missing": missing,
        "decidable": 0 if lacks else 1,
        "lacks": lacks,
        "implant": implant_json(work.lens),
        "sure": [sure.as_json(one) for one in sure.checks(exam, work)],
        "observed": observed_json(work),
        "alternatives": [alternatives.as_json(one) for one in alternatives.without_reckoning(work)],
        "assumptions": [],
        "findings": [as_json(one) for one in findings],
        "shown": None,
        "shown_without": None if lacks else to_sign_without(work, findings, core),
    }


def to_sign_without(work: Work, findings: list[Finding], core: str) -> dict[str, object] | None:
    """Return what any decision but an exchange would sign; None while a fixed stop stands."""
    if any(one.fixed for one in findings):
        return None
    return shown(work, None, None, findings, core)
