"""Calculations that a reader may ask for by name: the vault of each length, and exchange."""

from collections import namedtuple

from webapp.core import exchange, lens_length, vault
from webapp.core.calc import vault_model
from webapp.core.calc.fields import DIAMETER, LENGTH, LENS_RISE, VAULT
from webapp.core.calc.vault_model import EFFECTS, MODEL, check_model, effects_of
from webapp.core.errors import BadInput
from webapp.core.fields import Calculation, Field, Group, Items, Number
from webapp.core.vault import Fit

VaultInput = namedtuple(
    "VaultInput",
    (
        "lengths_mm",
        "diameter_mm",
        "lens_rise_mm",
        "model",
        "window",
        "first_eye_residual_um",
        "fellow_correlation",
        "loss_weights",
        "effects",
    ),
)
ExchangeInput = namedtuple(
    "ExchangeInput",
    (
        "predicted_um",
        "predicted_sd_um",
        "observed_um",
        "correlation",
        "slope",
        "slope_sd",
        "length_changes_mm",
        "window",
    ),
)


def window_check(path: str, limits: list[float]) -> lens_length.Window:
    """Return the window, low end below high end."""
    if not limits[0] < limits[1]:
        raise BadInput(path, path + " must be [low, high] with the low end first")
    return lens_length.Window(limits[0], limits[1])


WINDOW = Field("window_um", Items(VAULT, 2, 2, window_check), True, "Vault wanted, [low, high].")


def length_options(given: VaultInput) -> list[lens_length.Option]:
    """Return what each length asked for promises, in the order given."""
    check_model(given.model)
    features, centre = given.model.features, given.model.centre
    weights = lens_length.DEFAULT_LOSS_WEIGHTS
    if given.loss_weights is not None:
        weights = lens_length.LossWeights(given.loss_weights[0], given.loss_weights[1])
    effects = effects_of("", given.effects, features)
    options = []
    for length_mm in given.lengths_mm:
        fit = Fit(length_mm, given.diameter_mm, given.lens_rise_mm, effects)
        row = vault.feature_values(features, centre, fit)
        prediction = told_by_first_eye(vault.predicted(given.model, row), given)
        options.append(lens_length.option(length_mm, prediction, given.window, weights))
    return options


def told_by_first_eye(prediction: vault.Prediction, given: VaultInput) -> vault.Prediction:
    """Return the prediction after the first eye's miss, if there is one."""
    if given.first_eye_residual_um is None:
        return prediction
    correlation = given.fellow_correlation
    if correlation is None:
        correlation = lens_length.DEFAULT_FELLOW_CORRELATION
    return vault.with_first_eye(prediction, given.first_eye_residual_um, correlation)


def vault_by_length(given: VaultInput) -> dict[str, object]:
    """Return each length's prediction and chances, and which is best."""
    for place, length_mm in enumerate(given.lengths_mm):
        if length_mm in given.lengths_mm[:place]:
            raise BadInput("lengths_mm[" + str(place) + "]", "this length is listed twice")
    options = length_options(given)
    choice = lens_length.choose(options)
    return {
        "options": [spoken_option(option) for option in options],
        "best_by_probability_mm": choice.best_by_probability_mm,
        "best_by_loss_mm": choice.best_by_loss_mm,
        "separable": choice.is_separable,
    }


def spoken_option(option: lens_length.Option) -> dict[str, object]:
    """Return one length's promise under the names of answers."""
    return {
        "length_mm": option.length_mm,
        "mean_um": option.prediction.mean_um,
        "scale_um": option.prediction.scale_um,
        "dof": option.prediction.dof,
        "interval95_um": [option.low95_um, option.high95_um],
        "p_low": option.p_low,
        "p_in": option.p_in,
        "p_high": option.p_high,
        "expected_loss_um": option.loss_um,
    }


def vault_after_exchange(given: ExchangeInput) -> dict[str, object]:
    """Return the vault expected after each change of length."""
    belief = exchange.Belief(
        given.predicted_um, given.predicted_sd_um, given.correlation, given.slope, given.slope_sd
    )
    options = []
    for change_mm in given.length_changes_mm:
        new = exchange.vault_after_exchange(belief, given.observed_um, change_mm)
        p_low, p_in, p_high = exchange.chances(new, given.window.low_um, given.window.high_um)
        options.append(
            {
                "length_change_mm": change_mm,
                "mean_um": new.mean_um,
                "sd_um": new.sd_um,
                "p_low": p_low,
                "p_in": p_in,
                "p_high": p_high,
            }
        )
    return {"options": options}


CALCULATIONS = (
    vault_model.CALCULATION,
    Calculation(
        "vault",
        "The predicted vault of each length, its chances, and the best length.",
        Group(
            VaultInput,
            (
                Field("lengths_mm", Items(LENGTH), True, "Lengths to compare."),
                Field("diameter_mm", DIAMETER, True, "The diameter of the model's kind."),
                Field("lens_rise_mm", LENS_RISE, False, "Lens rise; needed if the model uses it."),
                Field("model", MODEL, True, "As vault-model answers it."),
                WINDOW,
                Field(
                    "first_eye_residual_um",
                    Number(-2500.0, 2500.0, "um"),
                    False,
                    "Vault of the first eye, achieved minus predicted.",
                ),
                Field(
                    "fellow_correlation",
                    Number(0.0, 0.99),
                    False,
                    "How much the second eye repeats it; 0.7 if left out.",
                ),
                Field(
                    "loss_weights",
                    Items(Number(0.0, 1000.0), 2, 2),
                    False,
                    "Cost of a um below and above the window; [2, 1] if left out.",
                ),
                EFFECTS,
            ),
        ),
        vault_by_length,
    ),
    Calculation(
        "vault-after-exchange",
        "The vault expected after exchanging a lens for another length.",
        Group(
            ExchangeInput,
            (
                Field("predicted_um", VAULT, True, "Vault predicted for the old lens."),
                Field("predicted_sd_um", Number(1.0, 1000.0, "um"), True, "Its SD."),
                Field("observed_um", VAULT, True, "Vault seen with the old lens."),
                Field("same_eye_correlation", Number(0.0, 1.0), True, "Share of the miss kept."),
                Field("slope_um_per_mm", Number(0.0, 3000.0, "um per mm"), True, "Vault per mm."),
                Field("slope_sd_um_per_mm", Number(0.0, 3000.0, "um per mm"), True, "Its SD."),
                Field(
                    "length_changes_mm",
                    Items(Number(-5.0, 5.0, "mm")),
                    True,
                    "New length minus old.",
                ),
                WINDOW,
            ),
        ),
        vault_after_exchange,
    ),
)
