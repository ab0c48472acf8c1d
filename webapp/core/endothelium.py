"""Endothelial cells do not grow back: how many an eye must start with, how fast it loses them."""

import math
from collections import namedtuple

from webapp.core.errors import BadInput
from webapp.core.straight_line import fitted_line, slope_se
from webapp.core.student import t_quantile

# Loss in percent a year with its 95 % interval; years from time 0 until the floor, or None.
Trend = namedtuple(
    "Trend", ("loss_percent_per_y", "low_percent_per_y", "high_percent_per_y", "years_to_floor")
)

FEWEST_COUNTS = 3
SHORTEST_SPAN_Y = 1.0


def minimum_count(
    age_y: float,
    end_cells_per_mm2: float,
    end_age_y: float,
    loss_per_y: float,
    surgical_loss: float,
    later_loss: float = 0.0,
) -> float:
    """Return the count [cells/mm2] needed now to keep ``end_cells_per_mm2`` at ``end_age_y``.

    Args:
        age_y: age now [y].
        end_cells_per_mm2: count to be left at the end [cells/mm2].
        end_age_y: the age that the cells must last to [y].
        loss_per_y: continuous rate k of chronic loss [1/y]; a year loses 1 - exp(-k).
        surgical_loss: share lost to this operation, 0 to below 1.
        later_loss: share lost to a later operation, 0 to below 1.

    Source: exponential loss as in Bourne 1997, Invest Ophthalmol Vis Sci 38:779 (0.6 % a year in
    normal eyes, abstract read). Which end count, age and rate to use is the hospital's policy.
    Example: 1500 cells at 85, 1 % a year, 5 % at surgery: 2994 at 21.
    """
    kept = (1.0 - surgical_loss) * (1.0 - later_loss)
    return end_cells_per_mm2 * math.exp(loss_per_y * (end_age_y - age_y)) / kept


def trend(time_y: list[float], cells_per_mm2: list[float], floor_cells_per_mm2: float) -> Trend:
    """Return the yearly loss of counts after surgery and when they would reach the floor.

    Args:
        time_y: times after surgery [y], three or more over at least a year.
        cells_per_mm2: the counts [cells/mm2]; counts before surgery do not belong here.
        floor_cells_per_mm2: the count whose date is asked for [cells/mm2].

    Raises:
        BadInput: fewer than three counts, or less than a year between first and last: two counts
            a year apart say nothing, since one count alone varies by about 5 %.

    Source: least squares of log count on years with a t interval (textbook).
    """
    if len(time_y) < FEWEST_COUNTS:
        raise BadInput("time_y", "give at least three counts after surgery")
    if max(time_y) - min(time_y) < SHORTEST_SPAN_Y:
        raise BadInput("time_y", "the counts must span at least one year")
    line = fitted_line(time_y, [math.log(count) for count in cells_per_mm2])
    reach = t_quantile(0.975, len(time_y) - 2.0) * slope_se(line)
    falls = line.slope < 0.0
    return Trend(
        yearly_loss(line.slope),
        yearly_loss(line.slope + reach),
        yearly_loss(line.slope - reach),
        (math.log(floor_cells_per_mm2) - line.intercept) / line.slope if falls else None,
    )


def yearly_loss(slope: float) -> float:
    """Return the loss [% a year] of a slope of log count, negative if the counts rise."""
    return 0.0 - 100.0 * math.expm1(slope)
