"""The power question: the exact lens at a length, and the lenses made around it."""

from collections import namedtuple

from webapp.core import lens_power
from webapp.core.aims import change_vector, target_vector
from webapp.core.exam import Exam
from webapp.core.lens_steps import LensModel, best_lenses, is_made, predict, rank, wants_spherical
from webapp.core.lens_words import Lens
from webapp.core.optics import (
    PowerVector,
    Refraction,
    astigmatism,
    power_vector,
    subtracted,
    turned,
)
from webapp.core.reference import Model
from webapp.core.units import to_step
from webapp.core.used import recorded_refraction, vector_of_cornea
from webapp.core.wording import size_in_dioptres

# lens: a Lens; predicted: the refraction it leaves, a PowerVector [D]; rank: total order of score.
Offer = namedtuple("Offer", ("lens", "predicted", "rank"))
# exact: a PowerVector [D]; eye: lens_power.Eye at this length's mean vault; offers: best first.
AtLength = namedtuple("AtLength", ("length_um", "exact", "eye", "offers"))
SHOWN_LENSES = 3


def made_as(model: Model) -> LensModel:
    """Return what is made of a catalogue model, in the form that the search takes."""
    return LensModel(
        model.sphere_min_cD,
        model.sphere_max_cD,
        model.sphere_step_cD,
        model.cylinder_min_cD,
        model.cylinder_max_cD,
        model.cylinder_step_cD,
        model.axis_step_deg,
    )


def eye_at(
    exam: Exam, vault_um: float, offset_um: int, worn: PowerVector | None = None
) -> lens_power.Eye:
    """Return the eye with a lens at a vault [um], as the power formulas take it.

    Args:
        exam: the eye.
        vault_um: gap behind the lens.
        offset_um: of the lens model.
        worn: the refraction to correct [D], in the plane of the measured one; None for that one.

    Raises:
        BadInput: the vault is deeper than the chamber.
    """
    this = exam.this
    refraction = Refraction(
        this.refraction.sphere_cD / 100.0,
        this.refraction.cylinder_cD / 100.0,
        float(this.refraction.axis_deg or 180),
    )
    depth_mm = lens_power.depth_from_epithelium(
        this.depth.value_um / 1000.0, this.depth.tag, this.thickness_um
    )
    position_mm = lens_power.lens_position(depth_mm, vault_um, offset_um / 1000.0)
    # A refraction at the cornea is one with no vertex distance; it is not moved again.
    vertex_mm = (this.refraction.vertex_um or 0) / 1000.0
    cornea = vector_of_cornea(this.cornea)
    change = change_vector(exam.aims)
    wanted = power_vector(refraction) if worn is None else worn
    return lens_power.Eye(wanted, vertex_mm, cornea, change, position_mm)


def at_length(
    exam: Exam, length_um: int, vault_um: float, worn: PowerVector | None = None
) -> AtLength:
    """Return the exact lens and the best offers of every model made in this length.

    Args:
        exam: the eye.
        length_um: overall length.
        vault_um: expected with it.
        worn: as ``eye_at``.

    A spherical lens is offered beside a toric one where the wanted cylinder is too small for a
    toric step.

    Raises:
        BadInput: no lens can correct this eye at this vault.
    """
    models = [model for model in exam.reference.models if length_um in model.lengths_um]
    offset_um = models[0].offset_um
    eye = eye_at(exam, vault_um, offset_um, worn)
    target = target_vector(exam.aims)
    exact = lens_power.lens_for(eye, target)
    offers: list[Offer] = []
    for model in models:
        if model.offset_um != offset_um:
            eye_here = eye_at(exam, vault_um, model.offset_um, worn)
            exact_here = lens_power.lens_for(eye_here, target)
        else:
            eye_here, exact_here = eye, exact
        offers += offers_of(exam, model, length_um, eye_here, exact_here)
    return AtLength(length_um, exact, eye, best_three(exam, offers, exact, models))


def offers_of(
    exam: Exam, model: Model, length_um: int, eye: lens_power.Eye, exact: PowerVector
) -> list[Offer]:
    """Return the best lenses of one model at one length."""
    target = target_vector(exam.aims)
    found = best_lenses(eye, exact, target, made_as(model), SHOWN_LENSES)
    return [
        Offer(
            Lens(
                model.model,
                one.sphere_cD,
                one.cylinder_cD,
                one.axis_deg if one.cylinder_cD else None,
                length_um,
            ),
            one.predicted,
            rank(one) + (model.model,),
        )
        for one in found
    ]


def best_three(
    exam: Exam, offers: list[Offer], exact: PowerVector, models: list[Model]
) -> list[Offer]:
    """Return the three best offers, the last of them spherical where that is wanted."""
    by_score = sorted(offers, key=lambda one: one.rank)
    best = by_score[:SHOWN_LENSES]
    spherical = [one for one in by_score if one.lens.cylinder_cD == 0]
    small = 200.0 * astigmatism(exact) < exam.limits["smallest_cylinder_cD"]
    wanted = small or all(wants_spherical(exact, made_as(model)) for model in models)
    if wanted and spherical and spherical[0] not in best:
        best = best[: SHOWN_LENSES - 1] + [spherical[0]]
    return best


def why(offers: list[Offer], index: int, wanted: PowerVector, aim: PowerVector) -> str:
    """Return in words what sets an offer apart from the best one, and how it misses the aim."""
    lens, best = offers[index].lens, offers[0].lens
    said = [] if index else ["nearest"]
    if lens.cylinder_cD == 0 and best.cylinder_cD != 0:
        said.append("without cylinder")
    elif lens.cylinder_cD != best.cylinder_cD:
        is_stronger = lens.cylinder_cD < best.cylinder_cD
        said.append("stronger cylinder" if is_stronger else "weaker cylinder")
    return ", ".join(said + [missed(offers[index].predicted, wanted, aim)])


def missed(left: PowerVector, worn: PowerVector, aim: PowerVector) -> str:
    """Return by how much of mean sphere a lens corrects too little or too much for the aim.

    What is left of the same sign as what was to be corrected was under-corrected: a short-sighted
    eye left short-sighted of its aim, a long-sighted one left long-sighted of it.
    """
    missed_cD = to_step((left.mean_d - aim.mean_d) * 100.0, 1.0)
    if missed_cD == 0:
        return "on the aim"
    is_under = (missed_cD < 0) == (worn.mean_d < aim.mean_d)
    size = size_in_dioptres(-missed_cD if missed_cD < 0 else missed_cD)
    return ("under-corrected by " if is_under else "over-corrected by ") + size


def refraction_json(vector: PowerVector) -> dict[str, object]:
    """Return a refraction or lens power in whole numbers."""
    sphere_cD, cylinder_cD, axis_deg = recorded_refraction(vector)
    return {"sphere_cD": sphere_cD, "cylinder_cD": cylinder_cD, "axis_deg": axis_deg}


def predicted_json(vector: PowerVector) -> dict[str, object]:
    """Return a predicted refraction in whole numbers, with its mean sphere."""
    answer = refraction_json(vector)
    answer["mean_cD"] = to_step(vector.mean_d * 100.0, 1.0)
    return answer


def offers_json(exam: Exam, found: AtLength) -> list[dict[str, object]]:
    """Return the offers of a length as they cross the door, best first."""
    return [offer_json(exam, found, index) for index in range(len(found.offers))]


def offer_json(exam: Exam, found: AtLength, index: int) -> dict[str, object]:
    """Return one offer of a length as it crosses the door."""
    offers, lens = found.offers, found.offers[index].lens
    return {
        "model": lens.model,
        "sphere_cD": lens.sphere_cD,
        "cylinder_cD": lens.cylinder_cD,
        "axis_deg": lens.axis_deg,
        "predicted": predicted_json(offers[index].predicted),
        "why": why(offers, index, found.eye.refraction, target_vector(exam.aims)),
    }


def model_named(exam: Exam, name: str) -> Model | None:
    """Return the catalogue's model of this name, or None."""
    for model in exam.reference.models:
        if model.model == name:
            return Model(*model)
    return None


def is_available(models: list[Model], lens: Lens) -> bool:
    """Return whether the catalogue holds exactly this lens in exactly this length."""
    return any(
        model.model == lens.model
        and lens.length_um in model.lengths_um
        and is_made(made_as(model), lens.sphere_cD, lens.cylinder_cD, lens.axis_deg)
        for model in models
    )


def left_by(eye: lens_power.Eye, lens: Lens) -> PowerVector:
    """Return the refraction [D] that a lens leaves, in the plane of the measured refraction."""
    needed = lens_power.vergence_needed(eye)
    return predict(eye, needed, (lens.sphere_cD, lens.cylinder_cD, lens.axis_deg or 180))


def power_of(lens: Lens) -> PowerVector:
    """Return a lens as a power vector [D]."""
    return power_vector(
        Refraction(lens.sphere_cD / 100.0, lens.cylinder_cD / 100.0, float(lens.axis_deg or 180))
    )


def moves(eye: lens_power.Eye, lens: Lens) -> dict[str, int]:
    """Return what would move the result of this lens [cD].

    ``turn_5deg_cD`` is the cylinder that a turn of 5 degrees would add; the others are changes of
    the mean sphere for 100 um more vault and for 0.25 D of error in the refraction.
    """
    power = power_of(lens)
    change = lens_power.sensitivity(eye, power)
    straight = lens_power.refraction_with(eye, power)
    askew = lens_power.refraction_with(eye, turned(power, 5.0))
    return {
        "vault_100um_cD": to_step(change.vault_100um * 100.0, 1.0),
        "turn_5deg_cD": -to_step(200.0 * astigmatism(subtracted(askew, straight)), 1.0),
        "refraction_quarter_cD": to_step(change.refraction_d * 25.0, 1.0),
    }
