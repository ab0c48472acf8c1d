"""The length question: the vault that each available length promises this eye."""

from webapp.core import adopted_models
from webapp.core.adopted_models import Adopted, Withdrawn
from webapp.core.exam import Exam, Eye
from webapp.core.lens_length import (
    DEFAULT_LOSS_WEIGHTS,
    Choice,
    Option,
    Window,
    choose,
    option,
)
from webapp.core.student import t_above, t_below
from webapp.core.units import billionths, to_step
from webapp.core.used import LengthUsed
from webapp.core.vault import Fit, Model, Prediction, Shift, feature_values, predicted, shifted
from webapp.core.vault_priors import default_model
from webapp.core.wording import in_hundred, millimetres

CURVE_UM = range(0, 1101, 20)
CURVE_TOP = 1000
KIND_WORDS = {
    "white_to_white": "white-to-white",
    "sulcus_to_sulcus": "sulcus-to-sulcus",
}
# The rise over the sulcus plane is another quantity than the rise over the angle.
RISE_REFERENCES = ("angle_recess", "scleral_spur")


def diameter(eye: Eye) -> tuple[str, LengthUsed] | None:
    """Return the kind and value of the diameter to compare lengths with, or None.

    The sulcus is where the lens rests, so its own diameter goes before the white-to-white. If it
    was measured but is not settled, the white-to-white does not silently take its place.
    """
    if eye.readings["reading.sulcus_to_sulcus"]:
        return None if eye.sulcus_to_sulcus is None else ("sulcus_to_sulcus", eye.sulcus_to_sulcus)
    return None if eye.white_to_white is None else ("white_to_white", eye.white_to_white)


def count(eye: Eye, kind: str) -> int:
    """Return how many readings the value of a quantity in use is the mean of."""
    return len(eye.readings["reading." + kind])


def lens_rise_um(eye: Eye) -> int | None:
    """Return the lens rise [um] that the model can use, or None."""
    rise = eye.lens_rise
    return rise.value_um if rise is not None and rise.tag in RISE_REFERENCES else None


def window_of(exam: Exam) -> Window:
    """Return the vault window in force [um]."""
    limits = exam.limits
    return Window(float(limits["window_low_um"]), float(limits["window_high_um"]))


def adopted_for(exam: Exam) -> Adopted | None:
    """Return the adopted model for this eye's diameter and device, None where there is none."""
    found = diameter(exam.this)
    if found is None:
        return None
    has_rise = lens_rise_um(exam.this) is not None
    return adopted_models.chosen(exam.reference.vault_models, found[0], found[1].device, has_rise)


def withdrawn_for(exam: Exam) -> Withdrawn | None:
    """Return the withdrawn model that would speak for this eye, None where another one speaks."""
    found = diameter(exam.this)
    if found is None or adopted_for(exam) is not None:
        return None
    has_rise = lens_rise_um(exam.this) is not None
    kind, device = found[0], found[1].device
    for one in exam.reference.withdrawn:
        if adopted_models.chosen([one.adopted], kind, device, has_rise) is not None:
            withdrawn: Withdrawn = one
            return withdrawn
    return None


def model_for(exam: Exam) -> Model | None:
    """Return the vault model that fits this eye's measurements, None without a settled diameter.

    An adopted model has learned its spread from the centre's own eyes, as they were measured
    there; only the default prior is told how many readings the diameter is the mean of.
    """
    found, adopted = diameter(exam.this), adopted_for(exam)
    if found is None:
        return None
    if adopted is not None:
        model: Model = adopted.model
        return model
    kind = found[0]
    return default_model(kind, lens_rise_um(exam.this) is not None, count(exam.this, kind))


def row_for(exam: Exam, model: Model, length_um: int) -> list[float]:
    """Return what the model's coefficients multiply for one length. Needs a settled diameter."""
    found, rise_um = diameter(exam.this), lens_rise_um(exam.this)
    used_um = found[1].value_um if found is not None else 0
    rise_mm = None if rise_um is None else rise_um / 1000.0
    fit = Fit(length_um / 1000.0, used_um / 1000.0, rise_mm, [])
    return feature_values(model.features, model.centre, fit)


def alone(exam: Exam, length_um: int) -> Prediction | None:
    """Return what this eye's own measurements predict for a length; None without a diameter."""
    model = model_for(exam)
    return None if model is None else predicted(model, row_for(exam, model, length_um))


def options(exam: Exam, lengths_um: list[int], shift: Shift | None = None) -> list[Option]:
    """Return what each length promises, in the order given. Needs a settled diameter.

    Args:
        exam: the eye.
        lengths_um: overall lengths.
        shift: what the first eye's outcome does to each prediction, None for nothing.
    """
    model = model_for(exam)
    if model is None:
        return []
    window = window_of(exam)
    answers = []
    for length_um in lengths_um:
        prediction = shifted(predicted(model, row_for(exam, model, length_um)), shift)
        answers.append(option(length_um / 1000.0, prediction, window, DEFAULT_LOSS_WEIGHTS))
    return answers


def curve(choice: Option, narrowest_um: float) -> list[int]:
    """Return the predictive density every 20 um from 0 to 1100 um, 1000 at the highest peak shown.

    Args:
        choice: one length.
        narrowest_um: the smallest scale of all lengths shown, so that wide means low.
    """
    mean_um, scale_um, dof = choice.prediction
    top, power = CURVE_TOP * narrowest_um / scale_um, -(dof + 1.0) / 2.0
    samples = []
    for vault_um in CURVE_UM:
        z = (vault_um - mean_um) / scale_um
        samples.append(to_step(top * (1.0 + z * z / dof) ** power, 1.0))
    return samples


def as_json(choice: Option, narrowest_um: float) -> dict[str, object]:
    """Return one length's promise in whole numbers."""
    low_e4, high_e4 = to_step(choice.p_low * 1e4, 1.0), to_step(choice.p_high * 1e4, 1.0)
    return {
        "length_um": to_step(choice.length_mm * 1000.0, 1.0),
        "mean_um": to_step(choice.prediction.mean_um, 1.0),
        "scale_um": to_step(choice.prediction.scale_um, 1.0),
        "dof": to_step(choice.prediction.dof, 1.0),
        "low95_um": to_step(choice.low95_um, 1.0),
        "high95_um": to_step(choice.high95_um, 1.0),
        "p_low_e4": low_e4,
        "p_in_e4": 10000 - low_e4 - high_e4,
        "p_high_e4": high_e4,
        "loss_um": to_step(choice.loss_um, 1.0),
        "curve": curve(choice, narrowest_um),
    }


def danger(choice: Option, limits: dict[str, int]) -> tuple[int, int]:
    """Return the chances [1/10000] of a dangerously low and a dangerously high vault."""
    mean_um, scale_um, dof = choice.prediction
    low = t_below((limits["vault_low_um"] - mean_um) / scale_um, dof)
    high = t_above((limits["vault_high_um"] - mean_um) / scale_um, dof)
    return to_step(low * 1e4, 1.0), to_step(high * 1e4, 1.0)


def chosen(found: list[Option]) -> Choice | None:
    """Return the best lengths, None when there is none to choose from."""
    return choose(found) if found else None


def words(found: list[Option], choice: Choice | None) -> str:
    """Return in a sentence which length leads and how clearly."""
    if choice is None:
        return ""
    by_chance = sorted(found, key=lambda one: (-billionths(one.p_in), one.length_mm))
    lead, lead_text = by_chance[0], length_words(by_chance[0])
    if len(by_chance) == 1:
        return lead_text + " is the only length available."
    following = by_chance[1]
    if choice.is_separable:
        return lead_text + " leads. The next is " + length_words(following) + "."
    text = "Two lengths fit almost alike: " + lead_text + ", " + length_words(following) + "."
    if choice.best_by_loss_mm == lead.length_mm:
        return text + " The first would also do less harm where it misses."
    cheaper_um = to_step(choice.best_by_loss_mm * 1000.0, 1.0)
    return text + " " + millimetres(cheaper_um) + " would do less harm where it misses."


def length_words(one: Option) -> str:
    """Return a length with its chance: "12.50 mm (73 in 100 in the window)"."""
    chance_e4 = to_step(one.p_in * 1e4, 1.0)
    length = millimetres(to_step(one.length_mm * 1000.0, 1.0))
    return length + " (" + in_hundred(chance_e4) + " in the window)"
