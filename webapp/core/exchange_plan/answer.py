"""The exchange of one eye's lens: what was found, what each length promises, and what is signed."""

from webapp.core import aims
from webapp.core.case.implants import only_implant
from webapp.core.entry import Entry
from webapp.core.errors import BadInput
from webapp.core.exam import Exam, examine
from webapp.core.exchange_plan import alternatives, sure
from webapp.core.exchange_plan.findings import about_choice, about_lens, surprise_e1
from webapp.core.exchange_plan.lengths import (
    FIGURE_UM,
    Lengths,
    best_json,
    index_of,
    lengths_of,
    recommended,
    rows_json,
)
from webapp.core.exchange_plan.less import nothing, to_sign_without, without_reckoning
from webapp.core.exchange_plan.powers import doubt_json, naked_json, power_json
from webapp.core.exchange_plan.seen import implant_json, observed_json
from webapp.core.exchange_plan.shown import promised, shown
from webapp.core.exchange_plan.work import Work, lacking, natural_exam, seen_of, work_of
from webapp.core.finding import Finding, as_json, ordered
from webapp.core.joining import in_one
from webapp.core.lens_words import Lens, lens_of, read_back
from webapp.core.lens_words import as_json as lens_json
from webapp.core.live import of_kind
from webapp.core.plan.vault import words as length_words
from webapp.core.reference import Reference
from webapp.core.rules import exchange as exchange_rules
from webapp.core.trust import recalled_stop
from webapp.core.units import to_step
from webapp.core.wording import SD_EXPLAINED, fixed, micrometres

ASSUMED = (
    "the slope of vault by length is taken as it is about the window; at a high vault it is really"
    " smaller, so a large shortening promises too much.",
    "The cornea is as before surgery; what surgery did to it is in the refraction found.",
)


def exchange(
    entries: list[Entry],
    reference: Reference,
    eye: str,
    today: str,
    core: str,
    choice: object,
    target: object = None,
    surgical_change: object = None,
) -> dict[str, object]:
    """Return what can be done about the lens in one eye. Args: as ``plan.plan``.

    Raises:
        BadInput: the request is not a question about one eye of one person.
    """
    if eye not in ("R", "L"):
        raise BadInput("eye", "eye must be R or L")
    exam = examine(in_one(entries), reference, eye, today, aims.aims_of(target, surgical_change))
    chosen = None if choice is None else lens_of(choice)
    lens = only_implant(exam.standing, eye)
    if lens is None:
        text = "Just one lens in this eye"
        return nothing(eye, [{"kind": "surgery.implanted", "text": text}])
    natural = natural_exam(exam, lens)
    missing = lacking(natural, lens)
    if missing:
        return without_reckoning(exam, seen_of(natural, lens), missing, core)
    try:
        work = work_of(natural, lens)
    except BadInput as wrong:
        text = "Readings that fit together: " + str(wrong.message)
        missing = [{"kind": "followup.vault", "text": text}]
        return without_reckoning(exam, seen_of(natural, lens), missing, core)
    return answer(exam, work, chosen, core)


def answer(exam: Exam, work: Work, choice: Lens | None, core: str) -> dict[str, object]:
    """Return the exchange as it crosses the door."""
    lengths = lengths_of(work)
    offered = recommended(work, lengths)
    subject = choice if choice is not None else offered
    lens_findings = recalled_stop(exam.reference.recalled_cores, core)
    lens_findings += exchange_rules.findings(exam, work.lens) + about_lens(exam, work)
    findings = ordered(lens_findings + about_choice(work, lengths, choice, offered))
    limits = exam.limits
    told: dict[str, object] = {
        "eye": exam.this.eye,
        "possible": 1,
        "missing": [],
        "decidable": 1,
        "lacks": [],
        "implant": implant_json(work.lens),
        "sure": [sure.as_json(one) for one in sure.checks(exam, work)],
        "observed": observed_json(work),
        "predicted": predicted_json(work),
        "surprise": surprise_json(work),
        "naked": naked_json(work),
        "basis": work.basis,
        "basis_text": basis_text(work),
        "window_um": [limits["window_low_um"], limits["window_high_um"]],
        "low_um": limits["vault_low_um"],
        "high_um": limits["vault_high_um"],
        "figure": {"from_um": FIGURE_UM[0], "to_um": FIGURE_UM[-1], "step_um": FIGURE_UM[1]},
        "rows": rows_json(work, lengths),
        "length_text": best_words(work, lengths, offered),
        "recommended": None if offered is None else lens_json(offered),
        "choice": None if choice is None else lens_json(choice),
        "sentence": "" if subject is None else read_back(exam.this.eye, subject),
        "power": power_json(work, lengths, subject),
        "doubt": doubt_json(work, lengths, subject),
        "alternatives": [
            alternatives.as_json(one) for one in alternatives.alternatives(work, before(exam, work))
        ],
        "assumptions": assumptions(work),
        "findings": [as_json(one) for one in findings],
        "shown": to_sign(work, lengths, subject, findings, core),
        "shown_without": to_sign_without(work, lens_findings, core),
    }
    best = best_json(lengths)
    for name in best:
        told[name] = best[name]
    return told


def to_sign(
    work: Work, lengths: Lengths, lens: Lens | None, findings: list[Finding], core: str
) -> dict[str, object] | None:
    """Return what a decision to exchange would sign; None for a lens that cannot be had.

    None too while a fixed stop stands: what nobody may override is nothing anybody can sign.
    """
    index = index_of(lengths, lens)
    if lens is None or index is None or any(one.fixed for one in findings):
        return None
    return shown(work, lens, promised(work, lengths, index, lens), findings, core)


def before(exam: Exam, work: Work) -> list[Entry]:
    """Return what was decided about this lens before, whether it still stands or not."""
    decided = of_kind(exam.standing.live, "exchange.decided", exam.this.eye)
    return [one for one in decided if one.body["implant"] in work.lens.names]


def predicted_json(work: Work) -> dict[str, object]:
    """Return what was to be expected of this lens, made anew from before surgery."""
    belief = work.belief
    mean_um, sd_um = to_step(belief.predicted_um, 1.0), to_step(belief.predicted_sd_um, 1.0)
    return {
        "mean_um": mean_um,
        "sd_um": sd_um,
        "text": "By the readings from before surgery " + micrometres(mean_um) + " was to be"
        " expected, " + SD_EXPLAINED + " " + micrometres(sd_um) + ".",
    }


def surprise_json(work: Work) -> dict[str, object]:
    """Return by how much the lens missed, and how much of that belongs to the eye."""
    missed_um = work.found.vault_um - work.belief.predicted_um
    kept_um = to_step(work.belief.correlation * missed_um, 1.0)
    missed_e1 = surprise_e1(work)
    word = " above" if missed_um >= 0.0 else " below"
    return {
        "z_e1": missed_e1,
        "residual_um": to_step(missed_um, 1.0),
        "kept_um": kept_um,
        "over": 1 if abs(missed_e1) > work.natural.limits["outcome_scales_e1"] else 0,
        "text": micrometres(abs(to_step(missed_um, 1.0)))
        + word
        + " what was expected, "
        + fixed(abs(missed_e1), 10, 1)
        + " SD. "
        + micrometres(abs(kept_um))
        + " of it is taken to be this eye\u2019s own and to come again with another lens.",
    }


def basis_text(work: Work) -> str:
    """Return which refraction the new lens has to correct, in a sentence."""
    if work.basis == "mean":
        return (
            "The new lens corrects the mean of the refraction before surgery and of what the eye"
            " would read without its lens; they agree."
        )
    if work.naked is None:
        return "The new lens corrects the refraction from before surgery; there is nothing newer."
    return (
        "The new lens corrects the refraction from before surgery: what was found since does not"
        " fit the lens in the eye."
    )


def best_words(work: Work, lengths: Lengths, offered: Lens | None) -> str:
    """Return which length leads, or that none does better than the one in the eye."""
    text = length_words(lengths.options, lengths.best)
    if offered is not None:
        return text
    return text + " No other length than the one in the eye is to be preferred."


def assumptions(work: Work) -> list[str]:
    """Return what is taken for granted, one sentence each."""
    share = fixed(work.natural.limits["exchange_same_eye_e2"], 100, 2)
    slope = micrometres(to_step(work.belief.slope_um_per_mm, 1.0))
    return [
        "Assumed: " + share + " of the miss is this eye\u2019s own (no published value); " + slope
        + " of vault for each mm of length, SD "
        + micrometres(to_step(work.belief.slope_sd_um_per_mm, 1.0)) + ".",
        "Optimistic: " + ASSUMED[0], ASSUMED[1],
    ] + aims.words(work.natural.aims)  # fmt: skip
