"""The working of a plan: each step with formula, inputs, result and source.

Made from the plan's own calls on the plan's own values, for teaching and for review; it decides
nothing and describes nothing that was not calculated.
"""

from webapp.core import comparators
from webapp.core.aims import aims_of
from webapp.core.entry import Entry
from webapp.core.errors import BadInput
from webapp.core.exam import Exam, examine
from webapp.core.joining import in_one
from webapp.core.lens_words import Lens, lens_of, read_back
from webapp.core.lens_words import as_json as lens_json
from webapp.core.plan import plan
from webapp.core.plan import vault as plan_vault
from webapp.core.plan.lenses import is_available
from webapp.core.plan.shown import eye_for
from webapp.core.reference import Reference
from webapp.core.rules import every as rules
from webapp.core.working import first_eye, power
from webapp.core.working import lens as working_lens
from webapp.core.working import vault as working_vault
from webapp.core.working.words import Step, as_json


def working(
    entries: list[Entry],
    reference: Reference,
    eye: str,
    today: str,
    choice: object,
    target: object = None,
    surgical_change: object = None,
) -> dict[str, object]:
    """Return the steps of one eye's plan, in order. Args and Raises: as ``plan.plan``."""
    if eye not in ("R", "L"):
        raise BadInput("eye", "eye must be R or L")
    exam = examine(in_one(entries), reference, eye, today, aims_of(target, surgical_change))
    lens = None if choice is None else lens_of(choice)
    missing = [one["text"] for one in rules.missing(exam)]
    if missing or not reference.models:
        return nothing(eye, "There is no plan yet. Missing: "
                       + "; ".join(missing or ["Lens catalogue"]) + ".")  # fmt: skip
    work = plan.calculated(exam)
    lens = lens if lens is not None else plan.recommended(work)
    if lens is None or not is_available(reference.models, lens):
        return nothing(eye, "No lens of the catalogue stands at the end of this working.")
    index = plan.index_of(work, lens)
    if index is None:
        return nothing(eye, "No lens corrects this eye at this length's vault.")
    return {
        "eye": eye,
        "possible": 1,
        "why": "",
        "lens": lens_json(lens),
        "sentence": read_back(eye, lens),
        "steps": [as_json(step) for step in steps(exam, work, lens, index)],
        "comparators": {
            "title": comparators.TITLE,
            "lines": comparators.lines(exam, lens.length_um),
        },
    }


def nothing(eye: str, why: str) -> dict[str, object]:
    """Return the answer where there is nothing to work out, with the reason."""
    return {
        "eye": eye,
        "possible": 0,
        "why": why,
        "lens": None,
        "sentence": "",
        "steps": [],
        "comparators": {"title": comparators.TITLE, "lines": []},
    }


def steps(exam: Exam, work: plan.Work, lens: Lens, index: int) -> list[Step]:
    """Return the steps for one lens at its length."""
    option, found = work.options[index], work.found[index]
    mine = eye_for(exam, found, lens, option)
    first = next(one for one in exam.reference.models if lens.length_um in one.lengths_um)
    found_steps = power.steps(exam, found, option.prediction.mean_um, first.offset_um)
    found_steps.append(working_lens.choice(exam, found, mine, lens))
    found_steps.append(working_lens.forward(mine, lens))
    model = plan_vault.model_for(exam)
    alone = plan_vault.alone(exam, lens.length_um)
    if model is not None and alone is not None:
        found_steps.append(working_vault.mean(exam, model, alone, lens.length_um))
        found_steps.append(working_vault.spread(exam, model, alone, lens.length_um))
        found_steps += first_eye.steps(exam, work.outcome, lens.length_um)
    found_steps.append(working_vault.window(exam, option))
    found_steps.append(working_vault.lengths(work.options, work.best))
    return found_steps
