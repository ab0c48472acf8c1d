"""The working of the vault: features, coefficients, Student t, the window and what a miss costs."""

from webapp.core import adopted_models
from webapp.core.adopted_models import Adopted
from webapp.core.exam import Exam
from webapp.core.lens_length import DEFAULT_LOSS_WEIGHTS, Choice, Option
from webapp.core.linear import quadratic_form
from webapp.core.plan import vault as plan_vault
from webapp.core.plan.refraction_doubt import vault_sd
from webapp.core.student import t_quantile
from webapp.core.units import to_step
from webapp.core.vault import Model, Prediction
from webapp.core.wording import micrometres, millimetres
from webapp.core.working.words import SQUARED, TRANSPOSED, Step, decimal, in_100, in_mm, whole

FEATURE_WORDS = {
    "one": "x0, constant",
    "excess_mm": "x1, length less diameter less centring",
    "lens_rise_mm": "x2, lens rise less its centring",
}
BAYES = (
    "Conjugate normal, inverse gamma: Gelman et al., Bayesian Data Analysis, chapter 14 (from"
    " memory)."
)


DEFAULT_SOURCE = (
    "Slopes from published regressions: 375, 657, 661 \u00b5m per mm of length (BMC Ophthalmol"
    " 2021 01963-x; Front Med 2026 1762551; Igarashi 2019, from memory), rounded; no equation"
    " is used as it stands, they differ by 500 \u00b5m on one eye."
)
DEFAULT_SPREAD = (
    " Residual SD 176 \u00b5m in 925 eyes (BMC Ophthalmol 2022;22:463), more where the sulcus is"
    " inferred from white-to-white."
)
OWN_SPREAD = " a, b and V as the adopted model has them from the centre's own eyes."


def adopted_source(adopted: Adopted) -> str:
    """Return what the coefficients of an adopted model stand on."""
    about = adopted_models.text(adopted, plan_vault.KIND_WORDS[adopted.diameter_kind])
    return "Vault model adopted here: " + about + ". Fitted on: " + str(adopted.fitted_on)


def mean(exam: Exam, model: Model, alone: Prediction, length_um: int) -> Step:
    """Return the mean vault that this eye alone predicts, as coefficients times features."""
    kind, used = plan_vault.diameter(exam.this) or ("", None)
    inputs = [
        ("length", in_mm(length_um / 1000.0)),
        (plan_vault.KIND_WORDS[kind], in_mm(getattr(used, "value_um", 0) / 1000.0)),
        ("centring", in_mm(model.centre.excess_mm)),
    ]
    rise_um = plan_vault.lens_rise_um(exam.this)
    if rise_um is not None and "lens_rise_mm" in model.features:
        inputs.append(("lens rise", in_mm(rise_um / 1000.0)))
        inputs.append(("centring of the rise", in_mm(model.centre.lens_rise_mm)))
    row = plan_vault.row_for(exam, model, length_um)
    for index in range(len(row)):
        name = model.features[index]
        unit = "" if name == "one" else " mm"
        inputs.append((FEATURE_WORDS.get(name, name), decimal(row[index], 3) + unit))
        per = " \u00b5m" if name == "one" else " \u00b5m per mm"
        inputs.append(("m" + str(index), decimal(model.mean[index], 2) + per))
    adopted = plan_vault.adopted_for(exam)
    return Step(
        "Vault expected",
        "mean = m" + TRANSPOSED + "x",
        "The mean is the sum of each coefficient m times its feature x.",
        inputs,
        [("mean vault", micrometres(to_step(alone.mean_um, 1.0)))],
        DEFAULT_SOURCE if adopted is None else adopted_source(adopted),
    )


def spread(exam: Exam, model: Model, alone: Prediction, length_um: int) -> Step:
    """Return the predictive Student t of this eye alone."""
    row = plan_vault.row_for(exam, model, length_um)
    kind = (plan_vault.diameter(exam.this) or ("", None))[0]
    reach_um = t_quantile(0.975, alone.dof) * alone.scale_um
    return Step(
        "How far it may be off",
        "scale" + SQUARED + " = (b / a) (1 + x" + TRANSPOSED + "V x); \u03bd = 2a; mean \u00b1 t"
        " scale; SD = scale \u00b7 \u221a(\u03bd / (\u03bd \u2212 2))",
        "Scale squared equals b over a, times, one plus x transposed V x. The degrees of freedom"
        " are two a. The interval is the mean plus and minus t times the scale. The SD is the scale"
        " times the root of, nu over, nu less two.",
        [
            ("a", decimal(model.a, 1)),
            ("b", decimal(model.b, 0) + " \u00b5m" + SQUARED),
            ("x" + TRANSPOSED + "V x", decimal(quadratic_form(model.V, row), 3)),
            ("readings of the diameter", str(plan_vault.count(exam.this, kind))),
            ("t, 95 in 100", decimal(t_quantile(0.975, alone.dof), 3)),
        ],
        [
            ("scale", micrometres(to_step(alone.scale_um, 1.0))),
            ("SD", micrometres(to_step(vault_sd(alone), 1.0))),
            ("\u03bd", decimal(alone.dof, 0)),
            ("95 in 100 from", micrometres(to_step(alone.mean_um - reach_um, 1.0))),
            ("to", micrometres(to_step(alone.mean_um + reach_um, 1.0))),
        ],
        BAYES + (DEFAULT_SPREAD if plan_vault.adopted_for(exam) is None else OWN_SPREAD),
    )  # fmt: skip


def window(exam: Exam, option: Option) -> Step:
    """Return the chances below, in and above the window."""
    low_um, high_um = exam.limits["window_low_um"], exam.limits["window_high_um"]
    shown = plan_vault.as_json(option, option.prediction.scale_um)
    return Step(
        "Chance of the window",
        "P(low < v < high) = F((high \u2212 mean) / scale) \u2212 F((low \u2212 mean) / scale)",
        "The chance of the window is F of, high less mean over scale, minus F of, low less mean"
        " over scale, F being the distribution of Student's t.",
        [("low", micrometres(low_um)), ("high", micrometres(high_um))],
        [
            ("below", in_100(shown, "p_low_e4")),
            ("in the window", in_100(shown, "p_in_e4")),
            ("above", in_100(shown, "p_high_e4")),
        ],
        "Student's t by the incomplete beta function: Abramowitz & Stegun 26.5.8, 26.7.1 (from"
        " memory).",
    )


def lengths(options: list[Option], best: Choice) -> Step:
    """Return how the lengths compare, by chance and by expected harm."""
    inputs = [
        ("cost of 1 \u00b5m too low", decimal(DEFAULT_LOSS_WEIGHTS.low, 0)),
        ("cost of 1 \u00b5m too high", decimal(DEFAULT_LOSS_WEIGHTS.high, 0)),
    ]
    for one in options:
        shown = plan_vault.as_json(one, one.prediction.scale_um)
        text = in_100(shown, "p_in_e4") + ", loss " + micrometres(whole(shown, "loss_um"))
        inputs.append((millimetres(whole(shown, "length_um")), text))
    return Step(
        "Which length",
        "loss = c_low E(low \u2212 v)\u207a + c_high E(v \u2212 high)\u207a",
        "The loss is the cost of too low times the expected amount below the window, plus the cost"
        " of too high times the expected amount above it.",
        inputs,
        [
            ("best by chance", in_mm(best.best_by_probability_mm)),
            ("best by loss", in_mm(best.best_by_loss_mm)),
            ("clear winner", "yes, by 5 in 100 or more" if best.is_separable else "no"),
        ],
        "Too low held twice as bad as too high: common practice. A lead of less than 5 in 100 is"
        " no lead; then the smaller loss decides.",
    )
