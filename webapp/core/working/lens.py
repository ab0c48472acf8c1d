"""The working from the exact lens to a lens that is made, and to what that one leaves."""

from webapp.core import lens_power
from webapp.core.aims import target_vector
from webapp.core.exam import Exam
from webapp.core.lens_power import Eye
from webapp.core.lens_steps import LONG_SIGHT_WEIGHT, score
from webapp.core.lens_words import Lens, lens_text
from webapp.core.optics import added, subtracted
from webapp.core.plan.lenses import AtLength, left_by, power_of
from webapp.core.reference import Model
from webapp.core.units import to_step
from webapp.core.wording import dioptres, refraction, size_in_dioptres
from webapp.core.working.words import INVERSE, PRIME, SQUARED, Step, decimal, in_mm, power


def choice(exam: Exam, found: AtLength, eye: Eye, lens: Lens) -> Step:
    """Return how the lenses made around the exact one are ranked.

    Args:
        exam: of the eye.
        found: exact lens and offers at this length.
        eye: with the chosen model's own position.
        lens: the lens that the plan is about.
    """
    models = [Model(*model) for model in exam.reference.models]
    made = [(str(one.model), steps_of(one)) for one in models if lens.length_um in one.lengths_um]
    target = target_vector(exam.aims)
    offers = [
        (
            lens_text(one.lens),
            "leaves " + power(one.predicted)
            + ", score " + score_text(score(one.predicted, target)),
        )
        for one in found.offers
    ]  # fmt: skip
    mine = score(left_by(eye, lens), target)
    return Step(
        "Nearest lens that is made",
        "score = \u221a((h M)" + SQUARED + " + J0" + SQUARED + " + J45" + SQUARED + "), h = "
        + decimal(LONG_SIGHT_WEIGHT, 0) + " where M is above zero, else 1",
        "The score is the root of, h M squared plus J zero squared plus J forty-five squared, of"
        " what a lens would leave less the target. h is two where that is long-sighted, else one.",
        [("P", power(found.exact))] + made + offers,
        [("lens", refraction(lens.sphere_cD, lens.cylinder_cD, lens.axis_deg)),
         ("score", score_text(mine))],
        "Blur strength: Thibos, Wheeler, Horner 1997 (from memory); long sight counted double is"
        " common practice. Only lenses of the catalogue, never one nearby in their place.",
    )  # fmt: skip


def steps_of(model: Model) -> str:
    """Return the steps in which a model is made."""
    sphere = "sphere every " + size_in_dioptres(model.sphere_step_cD)
    if model.cylinder_step_cD == 0:
        return sphere + ", no cylinder"
    cylinder = ", cylinder every " + size_in_dioptres(model.cylinder_step_cD)
    return sphere + cylinder + ", axis every " + str(model.axis_step_deg) + "\u00b0"


def score_text(score_d: float) -> str:
    """Return a score to the thousandth, which tells close ones apart."""
    return decimal(score_d, 3) + " D"


def forward(eye: Eye, lens: Lens) -> Step:
    """Return what the lens leaves."""
    left = left_by(eye, lens)
    needed = lens_power.vergence_needed(eye)
    return Step(
        "What this lens leaves",
        "T_c = G" + INVERSE + "(Q \u2212 P) \u2212 K" + PRIME + "; T = T_c (I + V T_c)" + INVERSE,
        "T c equals G inverse of, Q minus P, minus K prime. T equals T c times, I plus V T c,"
        " inverse.",
        [
            ("d, this model", in_mm(eye.position_mm)),
            ("Q", power(needed)),
            ("P, this lens", power(power_of(lens))),
            ("Q \u2212 P", power(subtracted(needed, power_of(lens)))),
            ("K" + PRIME, power(added(eye.cornea, eye.cornea_change))),
            ("V", in_mm(eye.vertex_mm)),
        ],
        [
            ("T", power(left)),
            ("mean sphere", dioptres(to_step(left.mean_d * 100.0, 1.0))),
        ],
        "The same vergence the other way; T stands where the refraction was measured.",
    )
