"""A straight line through readings over time, and where one more reading would lie (95 in 100)."""

import math
from collections import namedtuple

from webapp.core.straight_line import fitted_line
from webapp.core.student import t_quantile

# line: as ``straight_line.Line``; reach: t quantile of n - 2 degrees of freedom.
Fit = namedtuple("Fit", ("line", "reach"))
FEWEST_DAYS = 3


def fit(x: list[float], y: list[float]) -> Fit | None:
    """Return the least-squares line; None with readings of fewer than three different times.

    Args:
        x: times.
        y: values at these times.
    """
    if len(set(x)) < FEWEST_DAYS:
        return None
    return Fit(fitted_line(x, y), t_quantile(0.975, len(x) - 2.0))


def at(found: Fit, x: float) -> float:
    """Return the value of the line at a time."""
    return float(found.line.intercept + found.line.slope * x)


def half_width(found: Fit, x: float) -> float:
    """Return half the width of the 95 % prediction interval at a time.

    Source: t s sqrt(1 + 1/n + (x - mean)^2 / Sxx) with n - 2 degrees of freedom (textbook).
    """
    line = found.line
    from_mean = x - line.x_mean
    spread = 1.0 + 1.0 / line.n + from_mean * from_mean / line.sxx
    return float(found.reach * line.scatter * math.sqrt(spread))
