"""Which overall length: each one's chance of a vault inside the window, and what a miss costs."""

from collections import namedtuple

from webapp.core.student import t_above, t_below, t_between, t_density, t_quantile
from webapp.core.units import billionths
from webapp.core.vault import Prediction

Window = namedtuple("Window", ("low_um", "high_um"))
# Cost of each um below and above the window; too low is held twice as bad (common practice).
LossWeights = namedtuple("LossWeights", ("low", "high"))
Option = namedtuple(
    "Option",
    ("length_mm", "prediction", "low95_um", "high95_um", "p_low", "p_in", "p_high", "loss_um"),
)
Choice = namedtuple("Choice", ("best_by_probability_mm", "best_by_loss_mm", "is_separable"))

DEFAULT_LOSS_WEIGHTS = LossWeights(2.0, 1.0)
DEFAULT_FELLOW_CORRELATION = 0.7

# A winner by less than this is no winner: the lengths overlap and the loss decides.
CLEAR_LEAD = 0.05


def option(
    length_mm: float, prediction: Prediction, window: Window, weights: LossWeights
) -> Option:
    """Return what one length promises.

    Args:
        length_mm: overall length [mm].
        prediction: Student t of the vault [um], more than 1 degree of freedom.
        window: the vault wanted [um].
        weights: cost of a um below and of a um above the window.
    """
    dof, scale_um = prediction.dof, prediction.scale_um
    z_low = (window.low_um - prediction.mean_um) / scale_um
    z_high = (window.high_um - prediction.mean_um) / scale_um
    # Each tail is a slow sum and is asked for three times below.
    p_low, p_high = t_below(z_low, dof), t_above(z_high, dof)
    is_between = z_low <= 0.0 <= z_high
    reach_um = t_quantile(0.975, dof) * scale_um
    loss_um = scale_um * (
        weights.low * mean_excess(-z_low, p_low, dof)
        + weights.high * mean_excess(z_high, p_high, dof)
    )
    return Option(
        length_mm,
        prediction,
        prediction.mean_um - reach_um,
        prediction.mean_um + reach_um,
        p_low,
        1.0 - p_low - p_high if is_between else t_between(z_low, z_high, dof),
        p_high,
        loss_um,
    )


def alike(options: list[Option]) -> list[Option]:
    """Return those options whose chance is less than a clear lead below the best one's."""
    if not options:
        return []
    best = max([one.p_in for one in options])
    return [one for one in options if best - one.p_in < CLEAR_LEAD]


def mean_excess(z: float, tail: float, dof: float) -> float:
    """Return the expected amount by which Student's t exceeds ``z`` (nothing where it does not).

    Args:
        z: the value.
        tail: ``t_above(z, dof)``, which the caller has.
        dof: degrees of freedom, above 1.

    Source: integral of the t density by parts (derived); checked by numerical integration.
    """
    excess = t_density(z, dof) * (dof + z * z) / (dof - 1.0) - z * tail
    # Far out the two terms cancel to noise of either sign; the excess itself is never negative.
    return excess if excess > 0.0 else 0.0


def choose(options: list[Option]) -> Choice:
    """Return the best length by probability and by loss, and whether the first is a clear winner.

    Equal options, to a billionth: the one listed first. One length alone is separable from
    nothing, so clear.
    """
    likeliest, cheapest = options[0], options[0]
    for candidate in options:
        if billionths(candidate.p_in) > billionths(likeliest.p_in):
            likeliest = candidate
        if billionths(candidate.loss_um) < billionths(cheapest.loss_um):
            cheapest = candidate
    is_separable = True
    for candidate in options:
        if candidate is not likeliest and likeliest.p_in - candidate.p_in < CLEAR_LEAD:
            is_separable = False
    return Choice(likeliest.length_mm, cheapest.length_mm, is_separable)
