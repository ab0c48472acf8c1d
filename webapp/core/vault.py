"""Predicted vault: a Bayesian linear model that a centre's own outcomes sharpen.

vault [um] = coefficients x features + error, with a conjugate normal-inverse-gamma prior, so that
the update is exact and the prediction is a Student t. Source: any text on Bayesian linear
regression, for example Gelman et al., Bayesian Data Analysis, chapter 14 (from memory).
"""

import math
from collections import namedtuple

from webapp.core import linear
from webapp.core.errors import BadInput

# features: names; centre_*: what is subtracted from excess length and lens rise [mm];
# mean and covariance V of the coefficients given the error variance; a, b: its inverse gamma.
Model = namedtuple("Model", ("features", "centre", "mean", "V", "a", "b"))
Centre = namedtuple("Centre", ("excess_mm", "lens_rise_mm"))
Prior = namedtuple("Prior", ("mean", "sd", "sigma0_um", "a0", "b0"))
# One eye: the lens length [mm], the diameter it is compared with [mm], how far the natural lens
# rises in front of its reference plane [mm] or None, and which effects (device, surgeon) apply.
Fit = namedtuple("Fit", ("length_mm", "diameter_mm", "lens_rise_mm", "effects"))
Prediction = namedtuple("Prediction", ("mean_um", "scale_um", "dof"))

# What a first eye's outcome does to the second one's prediction: see ``with_first_eye``.
Shift = namedtuple("Shift", ("residual_um", "correlation"))

EFFECT = "effect:"


def is_feature(name: str) -> bool:
    """Return whether a model may use a feature of this name."""
    if name.startswith(EFFECT):
        return len(name) > len(EFFECT)
    return name in ("one", "excess_mm", "lens_rise_mm")


def feature_values(features: list[str], centre: Centre, fit: Fit, path: str = "") -> list[float]:
    """Return the numbers that the coefficients multiply, one for each feature.

    Raises:
        BadInput: the model needs a lens rise that this eye does not have, or the eye lists an
            effect that the model does not know; ``path`` goes before the field's name.
    """
    for effect in fit.effects:
        if EFFECT + effect not in features:
            raise BadInput(path + "effects", "the model knows no effect named " + effect)
    return [one_value(name, centre, fit, path) for name in features]


def one_value(name: str, centre: Centre, fit: Fit, path: str) -> float:
    """Return the number of one feature. Args and Raises: as ``feature_values``."""
    if name == "one":
        return 1.0
    if name == "excess_mm":
        return float(fit.length_mm - fit.diameter_mm - centre.excess_mm)
    if name == "lens_rise_mm":
        if fit.lens_rise_mm is None:
            raise BadInput(path + "lens_rise_mm", "this model needs the lens rise of the eye in mm")
        return float(fit.lens_rise_mm - centre.lens_rise_mm)
    return 1.0 if name[len(EFFECT) :] in fit.effects else 0.0


def before_any_eye(prior: Prior, features: list[str], centre: Centre) -> Model:
    """Return the model that the prior alone gives; V is diagonal, (sd / sigma0) squared."""
    size = len(features)
    V = [[0.0] * size for _ in range(size)]
    for index in range(size):
        ratio = prior.sd[index] / prior.sigma0_um
        V[index][index] = ratio * ratio
    return Model(features, centre, prior.mean, V, prior.a0, prior.b0)


def after_eyes(model: Model, rows: list[list[float]], vaults_um: list[float]) -> Model:
    """Return the model updated by observed vaults.

    Args:
        model: before these eyes.
        rows: the feature values of each eye.
        vaults_um: the observed vault of each eye [um].

    Raises:
        ArithmeticError: V is singular.
    """
    size = len(model.mean)
    before = linear.inverse(model.V)
    precision = [list(row) for row in before]
    weighted = linear.times(before, model.mean)
    for row, vault_um in zip(rows, vaults_um):
        for i in range(size):
            weighted[i] += row[i] * vault_um
            for j in range(size):
                precision[i][j] += row[i] * row[j]
    mean = linear.solve(linear.cholesky(precision), weighted)
    b = model.b + 0.5 * misfit(before, model.mean, mean, rows, vaults_um)
    return Model(
        model.features, model.centre, mean, linear.inverse(precision), model.a + len(rows) / 2.0, b
    )


def misfit(
    before: list[list[float]],
    old_mean: list[float],
    new_mean: list[float],
    rows: list[list[float]],
    vaults_um: list[float],
) -> float:
    """Return squared residuals plus the squared move away from the prior [um^2].

    Algebraically y'y + m0'V0^-1 m0 - mn'Vn^-1 mn, but a sum of squares cannot lose its digits.
    """
    move = [new - old for new, old in zip(new_mean, old_mean)]
    total = linear.quadratic_form(before, move)
    for row, vault_um in zip(rows, vaults_um):
        residual_um = vault_um - linear.dot(row, new_mean)
        total += residual_um * residual_um
    return total


def predicted(model: Model, row: list[float]) -> Prediction:
    """Return the Student t prediction [um] for an eye with these feature values."""
    spread = 1.0 + linear.quadratic_form(model.V, row)
    return Prediction(
        linear.dot(row, model.mean), math.sqrt(model.b / model.a * spread), 2.0 * model.a
    )


def shifted(prediction: Prediction, shift: Shift | None) -> Prediction:
    """Return a prediction as the first eye's outcome leaves it; unchanged without one."""
    if shift is None:
        return prediction
    return with_first_eye(prediction, shift.residual_um, shift.correlation)


def with_first_eye(prediction: Prediction, residual_um: float, correlation: float) -> Prediction:
    """Return the second eye's prediction after the first eye missed its own by ``residual_um``.

    Args:
        prediction: of the second eye from its own measurements.
        residual_um: achieved minus predicted vault of the first eye [um].
        correlation: of the two eyes' residuals, 0 to below 1; 0.7 by default elsewhere.

    Source: inter-eye difference 122.5 um SD (109 patients, Clin Ophthalmol 2020;14:3563) and
    residual 176.2 um SD (925 eyes, BMC Ophthalmol 2022;22:463) give r = 0.758 (derived).
    """
    narrower = math.sqrt(1.0 - correlation * correlation)
    return Prediction(
        prediction.mean_um + correlation * residual_um,
        prediction.scale_um * narrower,
        prediction.dof,
    )


def is_surprising(residual_um: float, scale_um: float, most_scales: float = 2.5) -> bool:
    """Return whether a first eye missed by more scales than that: check its scan before using it.

    Source: common practice; the two eyes may share a cause such as a wrong diameter.
    """
    return abs(residual_um) > most_scales * scale_um
