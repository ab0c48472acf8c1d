"""What a decision about the lens in an eye signs: its readings by id, values, lens and findings."""

from webapp.core import aims
from webapp.core.case.implants import implants, records_of
from webapp.core.exchange_plan.lengths import Lengths, subject_promise
from webapp.core.exchange_plan.powers import predicted_with
from webapp.core.exchange_plan.work import Work
from webapp.core.finding import Finding
from webapp.core.lens_words import Lens
from webapp.core.lens_words import as_json as lens_json
from webapp.core.live import evidence
from webapp.core.plan.lenses import refraction_json
from webapp.core.plan.shown import codes, inputs, model_json
from webapp.core.units import to_step


def shown(
    work: Work, lens: Lens | None, promise: dict[str, object] | None, findings: list[Finding],
    core: str,
) -> dict[str, object]:  # fmt: skip
    """Return what a decision signs.

    Args:
        work: what it is reckoned from.
        lens: the new lens, None for every decision but an exchange.
        promise: refraction and vault predicted with it, None without one.
        findings: those shown, worst first.
        core: the name of this core.
    """
    exam = work.natural
    eye, live = exam.this.eye, exam.standing.live
    model, belief = model_json(exam) or {}, work.belief
    return {
        "person": exam.person.person,
        "eye": eye,
        "as_of": exam.today,
        "implant": work.lens.entry.id,
        "surgeries": records_of(implants(exam.standing, eye)),
        "followups": sorted([one.id for one in work.lens.followups]),
        "evidence": evidence(live, eye),
        "core": core,
        "catalogue": exam.reference.catalogue_id,
        "limits": exam.reference.limits_id,
        "model": model.get("text"),
        "vault_model": model.get("id"),
        "inputs": inputs(exam),
        "target": aims.target_json(exam.aims),
        "surgical_change": aims.change_json(exam.aims),
        "observed": {
            "vault_um": work.found.vault_um,
            "predicted_um": None if belief is None else to_step(belief.predicted_um, 1.0),
            "sd_um": None if belief is None else to_step(belief.predicted_sd_um, 1.0),
            "naked": None if work.naked is None else refraction_json(work.naked),
            "apart_cD": work.apart_cD,
        },
        "basis": work.basis,
        "lens": None if lens is None else lens_json(lens),
        "predicted": promise,
        "findings": codes(findings),
    }


def promised(work: Work, lengths: Lengths, index: int, lens: Lens) -> dict[str, object]:
    """Return the refraction and the vault that a new lens of one of the lengths promises."""
    answer = predicted_with(work, lens, lengths.vaults[index].mean_um)
    promise = subject_promise(lengths, index)
    for name in promise:
        answer[name] = promise[name]
    return answer
