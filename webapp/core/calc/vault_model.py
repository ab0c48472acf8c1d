"""The vault model as a reader gives and gets it: its fields, what must fit together, the update."""

from collections import namedtuple

from webapp.core import linear, vault
from webapp.core.calc.fields import DIAMETER, LENGTH, LENS_RISE, VAULT
from webapp.core.errors import BadInput
from webapp.core.fields import Calculation, Field, Group, Items, Name, Number
from webapp.core.vault import Centre, Fit, Model, Prior

POSITIVE_UM = Number(1.0, 10000.0, "um")
COEFFICIENT = Number(-100000.0, 100000.0, "um, or um per mm")

Observation = namedtuple(
    "Observation", ("length_mm", "diameter_mm", "lens_rise_mm", "vault_um", "effects")
)
ModelInput = namedtuple("ModelInput", ("prior", "features", "centre", "observations"))

FEATURES = Field(
    "features",
    Items(Name()),
    True,
    "What the model uses: one, excess_mm, lens_rise_mm, effect:NAME.",
)
CENTRE = Field(
    "centre",
    Group(
        Centre,
        (
            Field("excess_mm", Number(-5.0, 5.0, "mm"), False, "Excess length counted as zero."),
            Field("lens_rise_mm", Number(-5.0, 5.0, "mm"), False, "Lens rise counted as zero."),
        ),
    ),
    True,
    "Where each feature is counted from; needed for the features used.",
)
EFFECTS = Field("effects", Items(Name(), 0), False, "Effects that apply, by their names.")
PRIOR = Group(
    Prior,
    (
        Field("mean", Items(COEFFICIENT), True, "One for each feature; 0 for an effect."),
        Field("sd", Items(Number(0.000001, 100000.0)), True, "Its standard deviation."),
        Field("sigma0_um", POSITIVE_UM, True, "Residual SD that the prior SDs are scaled by."),
        Field("a0", Number(0.001, 1000000.0), True, "Shape of the prior error variance."),
        Field("b0", Number(0.001, 1e12, "um2"), True, "Scale of the prior error variance."),
    ),
)
MODEL = Group(
    Model,
    (
        FEATURES,
        CENTRE,
        Field("mean", Items(Number(-1e6, 1e6)), True, "Coefficients, one for each feature."),
        Field("V", Items(Items(Number(-1e12, 1e12))), True, "Their covariance over the error's."),
        Field("a", Number(0.501, 2000000.0), True, "Shape of the error variance."),
        Field("b", Number(0.001, 1e15, "um2"), True, "Scale of the error variance."),
    ),
)


OBSERVATION = Group(
    Observation,
    (
        Field("length_mm", LENGTH, True, "Overall length of the lens."),
        Field("diameter_mm", DIAMETER, True, "The diameter of the model's kind."),
        Field("lens_rise_mm", LENS_RISE, False, "Lens rise; needed if the model uses it."),
        Field("vault_um", VAULT, True, "Vault seen."),
        EFFECTS,
    ),
)


def check_features(path: str, features: list[str], centre: Centre) -> None:
    """Refuse names that are unknown or double, and a feature without its centre."""
    for place, name in enumerate(features):
        where = path + "features[" + str(place) + "]"
        if not vault.is_feature(name):
            raise BadInput(where, "a feature is one, excess_mm, lens_rise_mm or effect:NAME")
        if name in features[:place]:
            raise BadInput(where, "this feature is listed twice")
    if "excess_mm" in features and centre.excess_mm is None:
        raise BadInput(path + "centre.excess_mm", "the model uses excess_mm, so say its centre")
    if "lens_rise_mm" in features and centre.lens_rise_mm is None:
        raise BadInput(path + "centre.lens_rise_mm", "the model uses lens_rise_mm: say its centre")


def check_prior(prior: Prior, features: list[str]) -> None:
    """Refuse a prior that does not give each feature its mean and SD."""
    if len(prior.mean) != len(features):
        raise BadInput("prior.mean", "prior.mean must have one number for each feature")
    if len(prior.sd) != len(features):
        raise BadInput("prior.sd", "prior.sd must have one number for each feature")
    for place, name in enumerate(features):
        if name.startswith(vault.EFFECT) and prior.mean[place] != 0.0:
            raise BadInput("prior.mean[" + str(place) + "]", "an effect has a prior mean of 0")


def check_model(model: Model) -> None:
    """Refuse a model whose parts do not fit together or whose V is singular."""
    size = len(model.features)
    check_features("model.", model.features, model.centre)
    if len(model.mean) != size:
        raise BadInput("model.mean", "model.mean must have one number for each feature")
    if len(model.V) != size or [row for row in model.V if len(row) != size]:
        raise BadInput("model.V", "model.V must be square, one row for each feature")
    for row in range(size):
        for column in range(row):
            size_here = (abs(model.V[row][row]) + abs(model.V[column][column])) * 1e-9
            if abs(model.V[row][column] - model.V[column][row]) > size_here:
                raise BadInput("model.V", "model.V must be symmetric")
    try:
        linear.cholesky(model.V)
    except ArithmeticError:
        raise BadInput("model.V", "model.V must be positive definite, not singular") from None


def effects_of(path: str, effects: list[str] | None, features: list[str]) -> list[str]:
    """Return the effects that apply; a model with effects must be told, even that none does."""
    if effects is not None:
        return effects
    for name in features:
        if name.startswith(vault.EFFECT):
            raise BadInput(path + "effects", "the model has effects: list those that apply, or []")
    return []


def vault_model(given: ModelInput) -> dict[str, object]:
    """Return the vault model after a centre's eyes."""
    check_features("", given.features, given.centre)
    check_prior(given.prior, given.features)
    rows, vaults_um = [], []
    for place, seen in enumerate(given.observations):
        path = "observations[" + str(place) + "]."
        effects = effects_of(path, seen.effects, given.features)
        fit = Fit(seen.length_mm, seen.diameter_mm, seen.lens_rise_mm, effects)
        rows.append(vault.feature_values(given.features, given.centre, fit, path))
        vaults_um.append(seen.vault_um)
    try:
        before = vault.before_any_eye(given.prior, given.features, given.centre)
        after = vault.after_eyes(before, rows, vaults_um)
    except ArithmeticError:
        raise BadInput("prior.sd", "the prior SDs are too unequal to calculate with") from None
    return {"model": spoken_model(after), "n": len(rows)}


def spoken_model(model: Model) -> dict[str, object]:
    """Return a model under the names of answers; it can be given back as it is."""
    centre: dict[str, object] = {}
    if model.centre.excess_mm is not None:
        centre["excess_mm"] = model.centre.excess_mm
    if model.centre.lens_rise_mm is not None:
        centre["lens_rise_mm"] = model.centre.lens_rise_mm
    return {
        "features": model.features,
        "centre": centre,
        "mean": model.mean,
        "V": model.V,
        "a": model.a,
        "b": model.b,
    }


CALCULATION = Calculation(
    "vault-model",
    "The vault model after a centre's own eyes.",
    Group(
        ModelInput,
        (
            Field("prior", PRIOR, True, "What is believed before any eye."),
            FEATURES,
            CENTRE,
            Field("observations", Items(OBSERVATION, 0), True, "The eyes."),
        ),
    ),
    vault_model,
)
