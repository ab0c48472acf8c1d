"""What an approval signs: the readings by id, the values, the lens, its promise, the findings."""

from webapp.core import adopted_models, aims
from webapp.core.exam import Exam
from webapp.core.finding import Finding, ordered
from webapp.core.lens_length import Option
from webapp.core.lens_power import Eye as LensEye
from webapp.core.lens_words import Lens
from webapp.core.lens_words import as_json as lens_json
from webapp.core.live import evidence
from webapp.core.plan import lenses as plan_lenses
from webapp.core.plan import vault as plan_vault
from webapp.core.plan.lenses import AtLength


def inputs(exam: Exam) -> dict[str, object]:
    """Return the values that the plan stands on; null where one is missing or unsettled."""
    this = exam.this
    diameter = plan_vault.diameter(this)
    return {
        "refraction": fields(
            this.refraction, ("sphere_cD", "cylinder_cD", "axis_deg", "plane", "vertex_um")
        ),
        "keratometry": fields(this.cornea, ("flat_cD", "steep_cD", "steep_meridian_deg")),
        "chamber_depth_um": None if this.depth is None else this.depth.value_um,
        "surface": None if this.depth is None else this.depth.tag,
        "cct_um": this.thickness_um,
        "diameter_kind": None if diameter is None else diameter[0],
        "diameter_um": None if diameter is None else diameter[1].value_um,
        "diameter_device": None if diameter is None else diameter[1].device,
        "lens_rise_um": plan_vault.lens_rise_um(this),
    }


def fields(value: object, names: tuple[str, ...]) -> dict[str, object] | None:
    """Return the named parts of a value, None of nothing."""
    return None if value is None else {name: getattr(value, name) for name in names}


def model_json(exam: Exam) -> dict[str, object] | None:
    """Return which vault model speaks, and on how many of the centre's own eyes it stands.

    ``id``, ``author``, ``device`` and ``fitted_on`` are those of an adopted model; the default
    prior has none, and an adopted model may be for any device. ``withdrawn`` says in a sentence why
    the default prior speaks again, null where nothing was withdrawn.
    """
    diameter = plan_vault.diameter(exam.this)
    if diameter is None:
        return None
    adopted = plan_vault.adopted_for(exam)
    if adopted is not None:
        return {
            "name": adopted.title,
            "diameter_kind": adopted.diameter_kind,
            "text": adopted_models.text(adopted, plan_vault.KIND_WORDS[adopted.diameter_kind]),
            "n_eyes": adopted.n_eyes,
            "device": adopted.device,
            "fitted_on": adopted.fitted_on,
            "id": adopted.id,
            "author": adopted.author,
            "withdrawn": None,
        }
    withdrawn = plan_vault.withdrawn_for(exam)
    with_rise = " and lens rise" if plan_vault.lens_rise_um(exam.this) is not None else ""
    return {
        "name": "default prior",
        "diameter_kind": diameter[0],
        "text": "Default prior for " + plan_vault.KIND_WORDS[diameter[0]] + with_rise
        + ", no own eyes yet",
        "n_eyes": 0,
        "device": None,
        "fitted_on": None,
        "id": None,
        "author": None,
        "withdrawn": None if withdrawn is None else withdrawn.adopted.title
        + " was withdrawn: " + withdrawn.reason,
    }  # fmt: skip


def shown(
    exam: Exam,
    option: Option,
    found: AtLength,
    lens: Lens,
    findings: list[Finding],
    core: str,
    fellow: dict[str, object] | None,
) -> dict[str, object]:
    """Return what an approval of this lens would sign; ``fellow``: the first eye's outcome."""
    vault = plan_vault.as_json(option, option.prediction.scale_um)
    left = plan_lenses.left_by(eye_for(exam, found, lens, option), lens)
    predicted = plan_lenses.refraction_json(left)
    for name in ("mean_um", "low95_um", "high95_um", "p_low_e4", "p_in_e4", "p_high_e4"):
        predicted[name] = vault[name]
    model = model_json(exam) or {}
    return {
        "person": exam.person.person,
        "eye": exam.this.eye,
        "as_of": exam.today,
        "evidence": evidence(exam.standing.live, exam.this.eye),
        "core": core,
        "catalogue": exam.reference.catalogue_id,
        "limits": exam.reference.limits_id,
        "model": model["text"],
        "vault_model": model["id"],
        "inputs": inputs(exam),
        "target": aims.target_json(exam.aims),
        "surgical_change": aims.change_json(exam.aims),
        "fellow": fellow,
        "lens": lens_json(lens),
        "predicted": predicted,
        "findings": codes(findings),
    }


def eye_for(exam: Exam, found: AtLength, lens: Lens, option: Option) -> LensEye:
    """Return the eye with the lens's own model in it: models may sit at different depths."""
    model = plan_lenses.model_named(exam, lens.model)
    if model is None:
        return LensEye(*found.eye)
    return plan_lenses.eye_at(exam, option.prediction.mean_um, model.offset_um)


def codes(findings: list[Finding]) -> list[dict[str, str]]:
    """Return code and level of each finding once, sorted by code."""
    levels: dict[str, str] = {}
    for found in ordered(findings):
        # Worst first: a code that comes twice keeps its worst level.
        levels.setdefault(found.code, found.level)
    return [{"code": code, "level": levels[code]} for code in sorted(levels)]
