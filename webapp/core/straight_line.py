"""The least-squares line through points, and how far the points scatter about it."""

import math
from collections import namedtuple

# scatter: residual standard deviation, n - 2 degrees of freedom; sxx: squares of x about its mean.
Line = namedtuple("Line", ("intercept", "slope", "n", "x_mean", "sxx", "scatter"))


def fitted_line(x: list[float], y: list[float]) -> Line:
    """Return the least-squares line through 3 points or more, of which two differ in x.

    ``y`` is taken from its first value, so that a constant series has a slope of exactly zero.

    Source: any statistics textbook; scipy judges it in the tests.
    """
    n = len(x)
    x_mean, y_mean = 0.0, 0.0
    for index in range(n):
        x_mean += x[index] / n
        y_mean += (y[index] - y[0]) / n
    sxx, sxy = 0.0, 0.0
    for index in range(n):
        sxx += (x[index] - x_mean) * (x[index] - x_mean)
        sxy += (x[index] - x_mean) * (y[index] - y[0] - y_mean)
    slope = sxy / sxx
    squares = 0.0
    for index in range(n):
        residual = y[index] - y[0] - y_mean - slope * (x[index] - x_mean)
        squares += residual * residual
    return Line(y[0] + y_mean - slope * x_mean, slope, n, x_mean, sxx, math.sqrt(squares / (n - 2)))


def slope_se(line: Line) -> float:
    """Return the standard error of the slope."""
    return float(line.scatter / math.sqrt(line.sxx))
