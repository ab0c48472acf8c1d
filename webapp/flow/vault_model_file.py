"""A vault model brought as a file: a whole body, or what ``calc vault-model`` answered.

The calculation answers in plain numbers; a record holds whole ones, with the scale in each name.
"""

from typing import Any

from webapp.core.units import to_step
from webapp.flow.refusal import Refused

Numbers = dict[str, Any]


def body_of(brought: Numbers) -> Numbers:
    """Return the body to adopt.

    Args:
        brought: a body as the kind ``vault_model.adopted`` lists it, or
            ``{"from_calc": {"model": MODEL, "n": 12}, "title", "diameter_kind", "device",
            "fitted_on"}`` with the calculation's answer as it stands; ``from_calc`` may also be
            MODEL itself, with ``n`` beside it.

    Raises:
        Refused: the answer of the calculation is not whole.
    """
    if "from_calc" not in brought:
        return brought
    answer = brought["from_calc"]
    model = answer.get("model", answer) if isinstance(answer, dict) else None
    counted = answer.get("n", brought.get("n")) if isinstance(answer, dict) else None
    try:
        return {**_said(brought), **_numbers(model or {}), "n_eyes": counted}
    except (KeyError, TypeError, ValueError, IndexError, AttributeError, OverflowError) as fault:
        raise Refused(
            "vault_model.from_calc",
            "This is not the answer of calc vault-model: give its model with features, centre, "
            f"mean, V, a and b as they were printed ({fault!r}).",
            "from_calc",
        ) from fault


def _said(brought: Numbers) -> Numbers:
    names = ("title", "diameter_kind", "device", "fitted_on")
    unknown = sorted(set(brought) - {*names, "from_calc", "n"})
    if unknown:
        raise Refused("vault_model.unknown", f"There is no field {unknown[0]}.", unknown[0])
    return {name: brought.get(name) for name in names}


def _numbers(model: Numbers) -> Numbers:
    """Return the numbers of a model in the recorded units, each rounded once."""
    features, centre, size = model["features"], model["centre"], len(model["features"])
    rise_mm = centre.get("lens_rise_mm") if "lens_rise_mm" in features else None
    triangle = [model["V"][row][column] for row in range(size) for column in range(row, size)]
    return {
        "features": features,
        "centre_excess_um": _whole(centre["excess_mm"], 1e3),
        "centre_lens_rise_um": None if rise_mm is None else _whole(rise_mm, 1e3),
        "mean_um_e3": [_whole(one, 1e3) for one in model["mean"]],
        "V_e9": [_whole(one, 1e9) for one in triangle],
        "a_e3": _whole(model["a"], 1e3),
        "b_um2_e3": _whole(model["b"], 1e3),
    }


def _whole(value: float, scale: float) -> int:
    if type(value) not in (int, float):
        raise TypeError(f"{value!r} is no number")
    return to_step(value * scale, 1.0)
