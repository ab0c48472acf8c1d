"""Share of eyes still free of a late event, from eyes followed for different times.

Sources: Kaplan & Meier 1958, J Am Stat Assoc 53:457; variance of Greenwood 1926; interval on the
log(-log) scale, Kalbfleisch & Prentice (all from memory).
"""

import math
from typing import NamedTuple

from webapp.audit.quantiles import normal_quantile

Z_95 = normal_quantile(0.975)


class Row(NamedTuple):
    """One event time [y]: eyes at risk just before it, survival after it, 95 % interval."""

    time_y: float
    at_risk: int
    survival: float
    low: float | None
    high: float | None


def kaplan_meier(times_y: list[float], events: list[bool]) -> list[Row]:
    """Return one row for each time at which an event happened, in order.

    An eye whose follow-up ends at the time of an event counts as at risk at that time. The two
    eyes of one person are taken as independent; give one eye of each, or the first event of each.

    Args:
        times_y: time to the event, or to the end of follow-up [y].
        events: whether it was an event, for each time.
    """
    happened: dict[float, int] = {}
    for time_y, event in zip(times_y, events, strict=True):
        happened[time_y] = happened.get(time_y, 0) + event
    ordered = sorted(times_y)
    survival, variance, passed, rows = 1.0, 0.0, 0, []
    for time_y in sorted(happened):
        while ordered[passed] < time_y:
            passed += 1
        at_risk, count = len(ordered) - passed, happened[time_y]
        if count == 0:
            continue
        survival *= (at_risk - count) / at_risk
        if count < at_risk:
            variance += count / (at_risk * (at_risk - count))
        rows.append(Row(time_y, at_risk, survival, *interval(survival, variance)))
    return rows


def interval(survival: float, variance: float) -> tuple[float | None, float | None]:
    """Return the 95 % interval; none where survival is 0 or 1, which has no log(-log).

    Args:
        survival: the estimate.
        variance: Greenwood's sum, the variance of its logarithm.
    """
    if not 0.0 < survival < 1.0:
        return None, None
    reach = Z_95 * math.sqrt(variance) / -math.log(survival)
    return survival ** math.exp(reach), survival ** math.exp(-reach)
