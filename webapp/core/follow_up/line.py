"""A straight line through readings over time, and where one more reading would lie (95 in 100)."""

import math
from collections import namedtuple

from webapp.core.endothelium import fitted_line
from webapp.core.student import t_quantile

# scatter: residual standard deviation; reach: t quantile of n - 2 degrees of freedom.
Fit = namedtuple("Fit", ("line", "n", "x_mean", "sxx", "scatter", "reach"))
FEWEST_DAYS = 3


def fit(x: list[float], y: list[float]) -> Fit | None:
    """Return the least-squares line; None with readings of fewer than three different times.

    Args:
        x: times.
        y: values at these times.
    """
    if len(set(x)) < FEWEST_DAYS:
        return None
    line, n, mean = fitted_line(x, y), len(x), 0.0
    for one in x:
        mean += one / n
    sxx, squares = 0.0, 0.0
    for index in range(n):
        sxx += (x[index] - mean) * (x[index] - mean)
        residual = y[index] - line.intercept - line.slope * x[index]
        squares += residual * residual
    return Fit(line, n, mean, sxx, math.sqrt(squares / (n - 2)), t_quantile(0.975, n - 2.0))


def at(found: Fit, x: float) -> float:
    """Return the value of the line at a time."""
    return float(found.line.intercept + found.line.slope * x)


def half_width(found: Fit, x: float) -> float:
    """Return half the width of the 95 % prediction interval at a time.

    Source: t s sqrt(1 + 1/n + (x - mean)^2 / Sxx) with n - 2 degrees of freedom (textbook).
    """
    from_mean = x - found.x_mean
    spread = 1.0 + 1.0 / found.n + from_mean * from_mean / found.sxx
    return float(found.reach * found.scatter * math.sqrt(spread))
