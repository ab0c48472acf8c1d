"""Intervals for a share of eyes: Wilson's score interval and the exact one.

Sources: Wilson 1927, J Am Stat Assoc 22:209; Clopper & Pearson 1934, Biometrika 26:404 (both from
memory).
"""

import math
from typing import NamedTuple

from webapp.audit.quantiles import crossing, normal_quantile
from webapp.core.student import incomplete_beta


class Interval(NamedTuple):
    """Ends of an interval, 0 to 1."""

    low: float
    high: float


def wilson(events: int, count: int, level: float) -> Interval:
    """Return Wilson's interval of a share.

    Args:
        events: how many of the eyes, 0 to ``count``.
        count: how many eyes, 1 or more.
        level: coverage, 0.95 for 95 %.

    Example: 3 of 120 at 0.95 gives 0.0085 to 0.0709.
    """
    z = normal_quantile(0.5 + 0.5 * level)
    return Interval(wilson_low(events, count, z), 1.0 - wilson_low(count - events, count, z))


def wilson_low(events: int, count: int, z: float) -> float:
    """Return the lower end, as product of both ends over the upper: nothing cancels near 0."""
    square = z * z
    root = z * math.sqrt(square + 4.0 * events * (count - events) / count)
    upper = (2.0 * events + square + root) / (2.0 * (count + square))
    return events / count * (events / (count + square)) / upper


def clopper_pearson(events: int, count: int, level: float) -> Interval:
    """Return the exact interval of a share. Args: as ``wilson``.

    Example: 0 of 50 at 0.95 gives 0 to 0.0711.
    """
    tail = 0.5 - 0.5 * level
    return Interval(exact_low(events, count, tail), exact_high(events, count, tail))


def exact_low(events: int, count: int, tail: float) -> float:
    """Return the share at which as many events, or more, have just the tail's probability."""
    if events == 0:
        return 0.0
    a, b = float(events), count - events + 1.0
    return crossing(lambda share: incomplete_beta(a, b, share, 1.0 - share), tail, 0.0, 1.0)


def exact_high(events: int, count: int, tail: float) -> float:
    """Return the share at which as many events, or fewer, have just the tail's probability."""
    if events == count:
        return 1.0
    a, b = float(count - events), events + 1.0
    return crossing(lambda share: -incomplete_beta(a, b, 1.0 - share, share), -tail, 0.0, 1.0)
