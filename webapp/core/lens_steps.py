"""From the exact lens to the lenses that are really made: a few steps around it, best first.

Only lenses of the catalogue model are offered. Where the exact lens lies outside what is made,
the list is empty; nothing nearby is put in its place.
"""

import math
from collections import namedtuple

from webapp.core.lens_power import Eye, corneal_refraction_with, vergence_needed
from webapp.core.optics import (
    PowerVector,
    Refraction,
    at_spectacles,
    power_vector,
    refraction_of,
    subtracted,
)
from webapp.core.units import billionths

# Powers in hundredths of a dioptre [cD], minus cylinder; the cylinder of a toric model runs from
# cylinder_min (strongest) to cylinder_max (weakest, below 0). A spherical model has three zeros.
LensModel = namedtuple(
    "LensModel",
    (
        "sphere_min_cD",
        "sphere_max_cD",
        "sphere_step_cD",
        "cylinder_min_cD",
        "cylinder_max_cD",
        "cylinder_step_cD",
        "axis_step_deg",
    ),
)
# A lens that is made, its predicted spectacle refraction as a PowerVector [D], and its score [D].
Candidate = namedtuple(
    "Candidate", ("sphere_cD", "cylinder_cD", "axis_deg", "predicted", "score_d")
)

# Long sight left in a young eye costs more than short sight (common practice).
LONG_SIGHT_WEIGHT = 2.0

# Predicted beyond those asked for, in case the nearest in the lens plane are not quite the best.
SPARE_POWERS = 4
# Axes tried of each power; they stand together in the list of lenses.
TRIED_AXES = 3


def score(predicted: PowerVector, target: PowerVector, weight: float = LONG_SIGHT_WEIGHT) -> float:
    """Return how far a predicted refraction is from the target [D], long sight counted heavier."""
    error = subtracted(predicted, target)
    mean_d = error.mean_d * (weight if error.mean_d > 0.0 else 1.0)
    return math.sqrt(mean_d * mean_d + error.j0_d * error.j0_d + error.j45_d * error.j45_d)


def steps_near(value: float, low: int, high: int, step: int, reach: int = 2) -> list[int]:
    """Return the steps of a catalogue row within ``reach`` steps of a value, lowest first.

    All in one unit. The list is empty where the value lies more than one step outside the row.
    """
    if step <= 0 or value < low - step or value > high + step:
        return []
    nearest = math.floor((value - low) / step + 0.5)
    found = [low + step * count for count in range(nearest - reach, nearest + reach + 1)]
    return [made for made in found if low <= made <= high]


def axes_near(axis_deg: float, step_deg: int) -> list[int]:
    """Return the two or three nearest axes that are made [deg], each from 1 to 180."""
    nearest = math.floor(axis_deg / step_deg + 0.5) * step_deg
    found = []
    for made in (nearest - step_deg, nearest, nearest + step_deg):
        axis = made % 180
        found.append(axis if axis > 0 else 180)
    return found


def cylinders_near(exact: Refraction, model: LensModel) -> list[int]:
    """Return the cylinders [cD] to try: 0 for a spherical model, else those near the exact one."""
    if model.cylinder_step_cD == 0:
        return [0]
    return steps_near(
        100.0 * exact.cylinder_d,
        model.cylinder_min_cD,
        model.cylinder_max_cD,
        model.cylinder_step_cD,
    )


def lenses_near(exact: PowerVector, model: LensModel) -> list[tuple[int, int, int]]:
    """Return sphere [cD], cylinder [cD] and axis [deg] of the lenses made around the exact one."""
    as_refraction = refraction_of(exact)
    found: list[tuple[int, int, int]] = []
    for cylinder_cD in cylinders_near(as_refraction, model):
        # A lens of another cylinder matches best with the sphere that keeps the mean power.
        sphere_cD = 100.0 * exact.mean_d - cylinder_cD / 2.0
        axes = axes_near(as_refraction.axis_deg, model.axis_step_deg) if cylinder_cD else [180]
        for made_cD in steps_near(
            sphere_cD, model.sphere_min_cD, model.sphere_max_cD, model.sphere_step_cD
        ):
            for axis_deg in axes:
                found.append((made_cD, cylinder_cD, axis_deg))
    return found


def predict(eye: Eye, needed: PowerVector, lens: tuple[int, int, int]) -> PowerVector:
    """Return the spectacle refraction [D] that a made lens leaves, from ``vergence_needed``."""
    sphere_cD, cylinder_cD, axis_deg = lens
    power = power_vector(Refraction(sphere_cD / 100.0, cylinder_cD / 100.0, float(axis_deg)))
    return at_spectacles(corneal_refraction_with(eye, power, needed), eye.vertex_mm, "lens")


def nearest_axis(exact_deg: float, lenses: list[tuple[int, int, int]]) -> int | None:
    """Return the axis [deg] among these lenses that turns least from the exact one."""
    turns = [
        (billionths(abs((lens[2] - exact_deg + 90.0) % 180.0 - 90.0)), lens[2]) for lens in lenses
    ]
    return min(turns)[1] if turns else None


def closest(
    exact: PowerVector, lenses: list[tuple[int, int, int]], powers: int
) -> list[tuple[int, int, int]]:
    """Return the lenses of the ``powers`` nearest spheres and cylinders, at all their axes.

    Nearness is judged in the lens plane, where it costs no prediction: what a lens leaves is its
    difference from the exact one times nearly the same factor in each meridian, reversed in sign.
    """
    nearness: dict[tuple[int, int], int] = {}
    # Of one power at several axes, the lens that turns least from the exact axis is nearest.
    axis_deg = nearest_axis(refraction_of(exact).axis_deg, lenses[:TRIED_AXES])
    for sphere_cD, cylinder_cD, lens_axis_deg in lenses:
        if lens_axis_deg == axis_deg:
            made = Refraction(sphere_cD / 100.0, cylinder_cD / 100.0, float(axis_deg))
            nearness[(sphere_cD, cylinder_cD)] = billionths(score(exact, power_vector(made)))
    kept = sorted([(nearness[power], power) for power in nearness])[:powers]
    wanted = [power for _, power in kept]
    return [lens for lens in lenses if (lens[0], lens[1]) in wanted]


def best_lenses(
    eye: Eye, exact: PowerVector, target: PowerVector, model: LensModel, count: int = 3
) -> list[Candidate]:
    """Return up to ``count`` lenses of a model, best first, each with its prediction.

    Args:
        eye: the eye, with the lens position for the length in question.
        exact: the exact lens [D], from ``lens_power.lens_for``.
        target: spectacle refraction wanted [D].
        model: what is made.
        count: how many to return; never show one alone.
    """
    needed = vergence_needed(eye)
    # The best axis of each sphere and cylinder: one lens turned by a degree is no alternative.
    best: dict[tuple[int, int], Candidate] = {}
    for lens in closest(exact, lenses_near(exact, model), count + SPARE_POWERS):
        predicted = predict(eye, needed, lens)
        tried = Candidate(lens[0], lens[1], lens[2], predicted, score(predicted, target))
        power = (lens[0], lens[1])
        if power not in best or rank(tried) < rank(best[power]):
            best[power] = tried
    return sorted(best.values(), key=rank)[:count]


def rank(candidate: Candidate) -> tuple[int, int, int, int]:
    """Return a total order: the score, then the numbers on the label."""
    miss = billionths(candidate.score_d)
    return (miss, candidate.sphere_cD, candidate.cylinder_cD, candidate.axis_deg)


def wants_spherical(exact: PowerVector, model: LensModel) -> bool:
    """Return whether the wanted cylinder is below the smallest step that a toric model is made in.

    Then a spherical lens is offered beside it, with the refraction it would leave.
    """
    wanted_cD = -100.0 * refraction_of(exact).cylinder_d
    return bool(model.cylinder_step_cD == 0 or wanted_cD < -model.cylinder_max_cD)


def is_made(model: LensModel, sphere_cD: int, cylinder_cD: int, axis_deg: int | None) -> bool:
    """Return whether the catalogue holds exactly this lens."""
    if not is_step(sphere_cD, model.sphere_min_cD, model.sphere_max_cD, model.sphere_step_cD):
        return False
    if model.cylinder_step_cD == 0:
        return cylinder_cD == 0
    if axis_deg is None or not 1 <= axis_deg <= 180 or axis_deg % model.axis_step_deg:
        return False
    return is_step(
        cylinder_cD, model.cylinder_min_cD, model.cylinder_max_cD, model.cylinder_step_cD
    )


def is_step(value: int, low: int, high: int, step: int) -> bool:
    """Return whether a value is one of the steps of a catalogue row."""
    return low <= value <= high and step > 0 and (value - low) % step == 0
