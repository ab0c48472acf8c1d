"""What to measure next: what one more reading is expected to do for this plan.

Preposterior expectation: the new reading is drawn from what the readings there already say about
it, the plan's own model is asked again with it, and the best length's chance is averaged over all
that could be read. Fixed nodes, so that every machine gives the same answer.
"""

import math
from collections import namedtuple

from webapp.core.lens_length import Window
from webapp.core.student import t_between, t_within
from webapp.core.vault import Model, Shift, predicted, shifted
from webapp.core.vault_priors import READING_ERROR_MM, RISE_CENTRE_MM, default_model

# Sulcus minus white-to-white: 0.48 mm, SD 0.28 (273 short-sighted eyes, abstract read).
SULCUS_WIDER_MM, SULCUS_WIDER_SD_MM = 0.48, 0.28
# Lens rise over the scleral spurs: 0.26 mm, SD 0.23 (67 healthy people, J Optom 2022;15:88,
# abstract read). Its mean here is where the model counts from, so that an average eye stays put.
LENS_RISE_SD_MM = 0.23

# Standard normal nodes: every 0.3 SD out to 3.6.
NODES = [0.3 * step for step in range(-12, 13)]
DENSITIES = [math.exp(-0.5 * node * node) for node in NODES]

# Two lengths whose mean vaults are this unlike in distance from the middle have a clear order.
NEARLY_AS_NEAR_UM = 60.0

# Up to so many degrees of freedom the finite sum is the quicker way.
QUICK_DOF = 40.0

# What an eye's vault is predicted from; diameter_readings: how many the diameter is the mean of.
Known = namedtuple(
    "Known", ("lengths_mm", "window", "kind", "diameter_mm", "diameter_readings", "rise_mm")
)


def chance_after_sulcus(known: Known, adopted: Model | None = None) -> float:
    """Return the expected best chance of a vault in the window after a first sulcus scan.

    Args:
        known: an eye whose diameter is its white-to-white.
        adopted: the model that the plan would then use; None: the default prior.
    """
    model = adopted or default_model("sulcus_to_sulcus", known.rise_mm is not None)
    # The difference of the two diameters was found on single white-to-whites: a mean of several
    # takes its share of error out of the spread.
    error_mm = READING_ERROR_MM["white_to_white"]
    spread_mm = math.sqrt(
        SULCUS_WIDER_SD_MM * SULCUS_WIDER_SD_MM
        - error_mm * error_mm * (1.0 - 1.0 / known.diameter_readings)
    )
    middle_mm = known.diameter_mm + SULCUS_WIDER_MM
    return mean_over_nodes([
        best_chance(model, known, middle_mm + spread_mm * node, known.rise_mm) for node in NODES
    ])  # fmt: skip


def chance_after_repeat(
    known: Known, adopted: Model | None = None, shift: Shift | None = None
) -> float:
    """Return the expected best chance after one more reading of the same diameter.

    The mean of n + 1 readings lies s / root(n (n + 1)) from the mean of n, one SD.

    Args:
        known: an eye, whichever diameter it has.
        adopted: as in ``chance_after_sulcus``.
        shift: what the first eye's outcome does; a diameter of another kind or a first lens rise
            would part the two eyes, so the other chances know none.
    """
    count = known.diameter_readings
    model = adopted or default_model(known.kind, known.rise_mm is not None, count + 1)
    moves_mm = READING_ERROR_MM[known.kind] / math.sqrt(count * (count + 1.0))
    return mean_over_nodes([
        best_chance(model, known, known.diameter_mm + moves_mm * node, known.rise_mm, shift)
        for node in NODES
    ])  # fmt: skip


def chance_after_rise(known: Known, adopted: Model | None = None) -> float:
    """Return the expected best chance after the lens rise was measured for the first time.

    Args: as ``chance_after_sulcus``, of any diameter.
    """
    model = adopted or default_model(known.kind, True, known.diameter_readings)
    middle_mm = model.centre.lens_rise_mm
    middle_mm = RISE_CENTRE_MM if middle_mm is None else middle_mm
    return mean_over_nodes([
        best_chance(model, known, known.diameter_mm, middle_mm + LENS_RISE_SD_MM * node)
        for node in NODES
    ])  # fmt: skip


def mean_over_nodes(values: list[float]) -> float:
    """Return the normal expectation of a function from its values at ``NODES``."""
    total, weight = 0.0, 0.0
    for value, density in zip(values, DENSITIES):
        total += value * density
        weight += density
    return total / weight


def best_chance(
    model: Model,
    known: Known,
    diameter_mm: float,
    rise_mm: float | None,
    shift: Shift | None = None,
) -> float:
    """Return the chance of the length that suits a diameter and a lens rise best.

    The chance falls with the distance of the mean vault from the middle of the window, so the
    nearest length is the best one, or the next if it is nearly as near.
    """
    middle_um = 0.5 * (known.window.low_um + known.window.high_um)
    # A model may do without a lens rise that was measured.
    uses_rise = rise_mm is not None and len(model.features) > 2
    risen = [rise_mm - model.centre.lens_rise_mm] if uses_rise else []
    base_um = model.mean[0] - middle_um + (model.mean[2] * risen[0] if risen else 0.0)
    if shift is not None:
        base_um += shift.residual_um * shift.correlation
    near = []
    for length_mm in known.lengths_mm:
        excess_mm = length_mm - diameter_mm - model.centre.excess_mm
        near.append((abs(base_um + model.mean[1] * excess_mm), excess_mm))
    near = sorted(near)[:2]
    best = 0.0
    for away_um, excess_mm in near:
        if away_um - near[0][0] < NEARLY_AS_NEAR_UM:
            chance = chance_in(model, [1.0, excess_mm] + risen, known.window, shift)
            best = chance if chance > best else best
    return best


def chance_in(model: Model, row: list[float], window: Window, shift: Shift | None = None) -> float:
    """Return the chance of a vault in the window for these feature values."""
    mean_um, scale_um, dof = shifted(predicted(model, row), shift)
    low, high = (window.low_um - mean_um) / scale_um, (window.high_um - mean_um) / scale_um
    # The default prior has 8 degrees of freedom; a phone asks this a hundred times for one plan.
    if dof % 2.0 == 0.0 and dof <= QUICK_DOF:
        return t_within(low, high, int(dof))
    return t_between(low, high, dof)
