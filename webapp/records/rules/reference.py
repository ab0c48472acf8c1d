"""Rules of what holds for the whole installation.

``static/records/rules/reference.js`` is the twin.
"""

import re

from webapp.records.rules.rule import Problem, Rule, Values


def models_named_once(body: Values, _payload: Values) -> Problem:
    """Each lens model of a catalogue has a name of its own."""
    names = [model["model"] for model in body["models"]]
    for name in names:
        if names.count(name) > 1:
            return "models", f"The model {name} is listed twice. Keep one."
    return None


def product_numbers(body: Values, _payload: Values) -> Problem:
    """A product number (GTIN) has 14 digits, the last one checks it, and it is of one model."""
    seen: set[str] = set()
    for index, model in enumerate(body["models"]):
        for gtin in model.get("gtins") or []:
            if not is_gtin(gtin):
                return f"models.{index}.gtins", (
                    f"The product number {gtin} is mistyped: of 14 digits the last checks it."
                )
            if gtin in seen:
                return f"models.{index}.gtins", f"The product number {gtin} is listed twice."
            seen.add(gtin)
    return None


def is_gtin(text: str) -> bool:
    """Return whether a text is 14 digits of which the last one is the check digit.

    Weights 3 and 1 in turn, 3 first; the sum of all is a multiple of ten. Source: GS1 General
    Specifications, 7.9 (from memory).
    """
    if re.fullmatch("[0-9]{14}", text) is None:
        return False
    return sum(int(digit) * (1 if at % 2 else 3) for at, digit in enumerate(text)) % 10 == 0


def model_steps(model: Values, _payload: Values) -> Problem:
    """Powers of a lens model run upwards in whole steps; a spherical model has no cylinder."""
    low, high = model["sphere_min_cD"], model["sphere_max_cD"]
    if low > high or (high - low) % model["sphere_step_cD"] != 0:
        return "sphere_max_cD", "Spheres must run from lowest to highest in whole steps."
    cylinders = [model[f"cylinder_{end}_cD"] for end in ("min", "max", "step")]
    if model["toric"] == 0:
        if any(cylinders) or model["axis_step_deg"] != 0:
            return "toric", "A spherical model has no cylinder and no axis step: write 0."
        return None
    low, high, step = cylinders
    if step == 0 or low > high or (high - low) % step != 0:
        return "cylinder_max_cD", "Cylinders must run from lowest to highest in whole steps."
    if model["axis_step_deg"] == 0:
        return "axis_step_deg", "A toric model needs its axis step."
    return None


def vault_model_parts(body: Values, _payload: Values) -> Problem:
    """A vault model has a number for each of its features, in their fixed order."""
    order = ["one", "excess_mm", "lens_rise_mm"]
    features, size = body["features"], len(body["features"])
    if features != order[:size]:
        return "features", "Features are one, excess_mm and, if used, lens_rise_mm, in this order."
    if len(body["mean_um_e3"]) != size:
        return "mean_um_e3", "There must be one coefficient for each feature."
    if len(body["V_e9"]) != size * (size + 1) // 2:
        return "V_e9", "The upper triangle has a row for each feature, each one shorter."
    if (body["centre_lens_rise_um"] is None) != (size < len(order)):
        return "centre_lens_rise_um", "The lens rise has a centre where it is a feature, only then."
    return None


def gap_runs_upwards(body: Values, _payload: Values) -> Problem:
    """Lost records are numbered from a first to a last one."""
    if body["to_seq"] < body["from_seq"]:
        return "to_seq", "The last number lost comes before the first."
    return None


RULES: tuple[Rule, ...] = (
    models_named_once,
    product_numbers,
    model_steps,
    vault_model_parts,
    gap_runs_upwards,
)
