"""Quantiles that intervals need, found by halving on the core's distribution functions."""

from collections.abc import Callable

from webapp.core.student import normal_above


def crossing(rising: Callable[[float], float], wanted: float, low: float, high: float) -> float:
    """Return where a rising function reaches a value, to the last digit between two ends.

    Args:
        rising: a function that never falls from ``low`` to ``high``.
        wanted: the value to reach.
        low: an end where the function is not above the value.
        high: an end where it is.
    """
    while True:
        middle = 0.5 * (low + high)
        if not low < middle < high:
            return high
        if rising(middle) > wanted:
            high = middle
        else:
            low = middle


def normal_quantile(probability: float) -> float:
    """Return the z that a standard normal value stays below with this probability.

    Args:
        probability: from 0.5 to below 1.

    Example: 0.975 is 1.959964 (any table of the normal distribution).
    """
    above = 1.0 - probability
    # Between 0 and 40 the upper tail falls from one half to what a float can no longer hold.
    return crossing(lambda z: -normal_above(z), -above, 0.0, 40.0)
