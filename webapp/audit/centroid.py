"""Centroid of astigmatism in the double-angle plot, with ellipses for the mean and for one eye.

Source: Hotelling's T squared for a bivariate mean (Johnson & Wichern, Applied Multivariate
Statistical Analysis, chapter 5; from memory). The often drawn ellipse of 2.448 standard deviations
is too small for few eyes.
"""

import math
from typing import NamedTuple


class Spread(NamedTuple):
    """Mean and sample covariance of points in the plot [D], [D^2]."""

    x_d: float
    y_d: float
    xx_d2: float
    yy_d2: float
    xy_d2: float


class Centroid(NamedTuple):
    """The centroid [D], semi-axes [D] larger first, and their tilt in the plot [deg]."""

    centre_d: tuple[float, float]
    mean_ellipse_d: tuple[float, float]
    eye_ellipse_d: tuple[float, float]
    tilt_deg: float | None


def centroid(points_d: list[tuple[float, float]]) -> Centroid:
    """Return the centroid of double-angle points and its 95 % ellipses.

    The mean's ellipse holds the true mean, the eye's ellipse the next eye, each in 95 of 100
    samples. The tilt is the plot's angle of the larger axis, twice an angle on the eye, above -90
    and up to 90 deg; None where the ellipse is a circle or a point and has no larger axis.

    Args:
        points_d: (x, y) [D] of each eye, 3 or more; x is cylinder x cos 2 axis.
    """
    count = len(points_d)
    found = spread(points_d)
    scale = 2.0 * (count - 1) / (count * (count - 2)) * f_quantile_95(count - 2)
    larger, smaller = (math.sqrt(scale * size) for size in principal(found))
    wider = math.sqrt(count + 1.0)
    return Centroid(
        (found.x_d, found.y_d), (larger, smaller), (wider * larger, wider * smaller), tilt(found)
    )


def spread(points_d: list[tuple[float, float]]) -> Spread:
    """Return mean and covariance (divisor n - 1) of 2 or more points."""
    count = len(points_d)
    x_d = math.fsum(x for x, _ in points_d) / count
    y_d = math.fsum(y for _, y in points_d) / count
    steps = [(x - x_d, y - y_d) for x, y in points_d]
    xx_d2 = math.fsum(dx * dx for dx, _ in steps) / (count - 1)
    yy_d2 = math.fsum(dy * dy for _, dy in steps) / (count - 1)
    xy_d2 = math.fsum(dx * dy for dx, dy in steps) / (count - 1)
    return Spread(x_d, y_d, xx_d2, yy_d2, xy_d2)


def principal(found: Spread) -> tuple[float, float]:
    """Return the eigenvalues of the covariance [D^2], larger first, neither below zero."""
    middle = 0.5 * (found.xx_d2 + found.yy_d2)
    reach = math.hypot(0.5 * (found.xx_d2 - found.yy_d2), found.xy_d2)
    # Points on a line leave nothing across it, which rounding may turn into slightly less.
    return middle + reach, max(0.0, middle - reach)


def tilt(found: Spread) -> float | None:
    """Return the angle of the larger axis in the plot [deg], None if there is none."""
    across, along = 2.0 * found.xy_d2, found.xx_d2 - found.yy_d2
    if across == 0.0 and along == 0.0:
        return None
    angle_deg = 0.5 * math.degrees(math.atan2(across, along))
    return 90.0 if angle_deg == -90.0 else angle_deg


def f_quantile_95(dof: int) -> float:
    """Return the 95 % point of F with 2 and ``dof`` degrees of freedom, in closed form.

    Example: 10 degrees of freedom give 4.10 (any table of F).
    """
    return 0.5 * dof * (math.pow(0.05, -2.0 / dof) - 1.0)
