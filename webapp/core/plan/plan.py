"""A plan for one eye: readings in; findings, lengths, lenses and what an approval would sign out.

Everything that leaves is a whole number in its recorded unit, rounded once, or a sentence.
"""

from collections import namedtuple

from webapp.core import aims
from webapp.core.entry import Entry
from webapp.core.errors import BadInput
from webapp.core.exam import Exam, examine
from webapp.core.finding import Finding, as_json, ordered
from webapp.core.joining import in_one
from webapp.core.lens_length import Option
from webapp.core.lens_words import Lens, lens_of, read_back
from webapp.core.lens_words import as_json as lens_json
from webapp.core.plan import aims as plan_aims
from webapp.core.plan import findings as plan_findings
from webapp.core.plan import lenses as plan_lenses
from webapp.core.plan import measure_lines
from webapp.core.plan import vault as plan_vault
from webapp.core.plan.backup import backups
from webapp.core.plan.fellow_outcome import outcome, shift_of
from webapp.core.plan.fellow_shown import signed, told
from webapp.core.plan.lenses import AtLength, is_available
from webapp.core.plan.shown import inputs, model_json, shown
from webapp.core.reference import Reference
from webapp.core.rules import every as rules
from webapp.core.trust import recalled_stop
from webapp.core.units import billionths, to_step
from webapp.core.vault import Prediction

# options and found run in step with each other, one for each length; best: Choice or None;
# outcome: of the first eye, or None.
Work = namedtuple("Work", ("options", "found", "best", "outcome"))


def plan(
    entries: list[Entry],
    reference: Reference,
    eye: str,
    today: str,
    core: str,
    choice: object,
    target: object = None,
    surgical_change: object = None,
) -> dict[str, object]:
    """Return the plan of one eye.

    Args:
        entries: every record of one person, each once.
        reference: lens catalogue and limits in force.
        eye: "R" or "L".
        today: ``YYYY-MM-DD``.
        core: the name of this core, which an approval signs.
        choice: the lens that the surgeon takes, or None for the recommended one.
        target: refraction to aim at, in the plane of the measured one, or None for plano.
        surgical_change: flattening of the cornea that the incision is expected to make, or None.

    Raises:
        BadInput: the request is not a question about one eye of one person.
    """
    if eye not in ("R", "L"):
        raise BadInput("eye", "eye must be R or L")
    exam = examine(in_one(entries), reference, eye, today, aims.aims_of(target, surgical_change))
    lens = None if choice is None else lens_of(choice)
    missing = rules.missing(exam)
    if not reference.models:
        missing.append({"kind": "catalogue.adopted", "text": "Lens catalogue"})
    work = Work([], [], None, outcome(exam)) if missing else calculated(exam)
    return answer(exam, missing, work, lens, core)


def calculated(exam: Exam) -> Work:
    """Return the lengths and lenses of an eye that has all its readings."""
    lengths_um = sorted({
        length_um for model in exam.reference.models for length_um in model.lengths_um
    })  # fmt: skip
    first_eye = outcome(exam)
    options = plan_vault.options(exam, lengths_um, shift_of(exam, first_eye))
    found: list[AtLength | None] = []
    for length_um, option in zip(lengths_um, options):
        try:
            found.append(plan_lenses.at_length(exam, length_um, option.prediction.mean_um))
        except BadInput:
            # No power corrects this eye at this length's vault; other lengths may still do.
            found.append(None)
    return Work(options, found, plan_vault.chosen(options), first_eye)


def recommended(work: Work) -> Lens | None:
    """Return the first lens of the best length that has one.

    A clear winner by chance is taken; without one, the smaller expected harm decides.
    """
    best: tuple[int, int] | None = None
    lens = None
    for index, found in enumerate(work.found):
        if found is None or not found.offers:
            continue
        option = work.options[index]
        order = billionths(-option.p_in if work.best.is_separable else option.loss_um)
        if best is None or (order, found.length_um) < best:
            best, lens = (order, found.length_um), found.offers[0].lens
    return lens


def index_of(work: Work, lens: Lens | None) -> int | None:
    """Return where a lens's length stands, None where it has no calculation."""
    for index, found in enumerate(work.found):
        if lens is not None and found is not None and found.length_um == lens.length_um:
            return index
    return None


def answer(
    exam: Exam, missing: list[dict[str, str]], work: Work, choice: Lens | None, core: str
) -> dict[str, object]:
    """Return the plan as it crosses the door."""
    offered = recommended(work)
    subject = choice if choice is not None else offered
    findings = ordered(
        recalled_stop(exam.reference.recalled_cores, core)
        + rules.findings(exam) + found_by_plan(exam, missing, work, choice, offered)
    )  # fmt: skip
    return {
        "eye": exam.this.eye,
        "possible": 0 if missing else 1,
        "missing": missing,
        "findings": [as_json(found) for found in findings],
        "inputs": inputs(exam),
        "target": aims.target_json(exam.aims),
        "surgical_change": aims.change_json(exam.aims),
        "assumptions": aims.words(exam.aims),
        "window_um": [exam.limits["window_low_um"], exam.limits["window_high_um"]],
        "model": model_json(exam),
        "fellow": told(exam, work.outcome, alone_of(exam, work, subject)),
        "lengths": lengths_json(exam, work),
        "best_by_probability_um": None if work.best is None else whole_um(work.best[0]),
        "best_by_loss_um": None if work.best is None else whole_um(work.best[1]),
        "separable": 1 if work.best is not None and work.best.is_separable else 0,
        "length_text": plan_vault.words(work.options, work.best),
        "moves": moved_by(exam, work, subject),
        "measure_next": to_measure(exam, work, subject),
        "recommended": None if offered is None else lens_json(offered),
        "choice": None if choice is None else lens_json(choice),
        "backups": to_back_up(exam, work, subject),
        "shown": to_sign(exam, work, subject, findings, core),
        "sentence": "" if subject is None else read_back(exam.this.eye, subject),
    }


def to_back_up(exam: Exam, work: Work, lens: Lens | None) -> list[dict[str, object]]:
    """Return the lenses that may be named as the back-up of a lens."""
    index = index_of(work, lens)
    return backups(exam, None if index is None else work.found[index], lens)


def alone_of(exam: Exam, work: Work, lens: Lens | None) -> Prediction | None:
    """Return the prediction for a lens's length from this eye alone, None where there is none."""
    if lens is None or index_of(work, lens) is None:
        return None
    return plan_vault.alone(exam, lens.length_um)


def moved_by(exam: Exam, work: Work, lens: Lens | None) -> dict[str, int] | None:
    """Return what would move the result, None where no lens is shown."""
    index = index_of(work, lens)
    if lens is None or index is None or not is_available(exam.reference.models, lens):
        return None
    return plan_lenses.moves(work.found[index].eye, lens)


def to_measure(exam: Exam, work: Work, lens: Lens | None) -> dict[str, object]:
    """Return which further readings would be worth the person's time."""
    index = index_of(work, lens)
    if lens is None or index is None:
        return measure_lines.advice(exam, work.options, None)
    in_view = measure_lines.InView(
        work.options[index], work.found[index].eye, plan_lenses.power_of(lens)
    )
    return measure_lines.advice(exam, work.options, in_view)


def to_sign(
    exam: Exam, work: Work, lens: Lens | None, findings: list[Finding], core: str
) -> dict[str, object] | None:
    """Return what an approval would sign; None for a lens that cannot be had.

    None too while a fixed stop stands: what nobody may override is nothing anybody can sign.
    """
    index = index_of(work, lens)
    if lens is None or index is None or not is_available(exam.reference.models, lens):
        return None
    if any(found.level == "stop" and found.fixed for found in findings):
        return None
    signed_outcome = signed(work.outcome, plan_vault.alone(exam, lens.length_um))
    return shown(exam, work.options[index], work.found[index], lens, findings, core, signed_outcome)


def whole_um(length_mm: float) -> int:
    """Return a length in whole micrometres."""
    return to_step(length_mm * 1000.0, 1.0)


def found_by_plan(
    exam: Exam,
    missing: list[dict[str, str]],
    work: Work,
    choice: Lens | None,
    offered: Lens | None,
) -> list[Finding]:
    """Return the findings that need the calculation."""
    found = plan_findings.rise_not_used(exam, plan_vault.lens_rise_um(exam.this))
    found += plan_aims.findings(exam)
    if missing:
        return found
    found += plan_findings.availability(exam, choice, offered is not None)
    with_lens = [
        option for option, one in zip(work.options, work.found) if one is not None and one.offers
    ]
    found += plan_findings.lengths_alike(exam, work.best, offered, with_lens)
    subject = choice if choice is not None else offered
    index = index_of(work, subject)
    if subject is not None and index is not None:
        found += plan_findings.labelled_power(exam, subject)
        found += plan_findings.power_ratio(exam, work.found[index])
        found += plan_findings.far_choice(work.found[index], subject)
        found += plan_findings.vault(exam, work.options[index])
    return found


def lengths_json(exam: Exam, work: Work) -> list[dict[str, object]]:
    """Return each length with its promise, its exact lens and its best lenses."""
    if not work.options:
        return []
    narrowest_um = min([option.prediction.scale_um for option in work.options])
    return [
        length_json(exam, option, found, narrowest_um)
        for option, found in zip(work.options, work.found)
    ]


def length_json(
    exam: Exam, option: Option, found: AtLength | None, narrowest_um: float
) -> dict[str, object]:
    """Return one length."""
    one = plan_vault.as_json(option, narrowest_um)
    one["exact"] = None if found is None else plan_lenses.refraction_json(found.exact)
    one["lenses"] = [] if found is None else plan_lenses.offers_json(exam, found)
    return one
