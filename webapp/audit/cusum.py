"""Cumulative sums: whether results have drifted, looked at again after each eye.

Source: Page 1954, Biometrika 41:100, and for yes-or-no outcomes Steiner 2000, Biostatistics 1:441
(both from memory). A signal asks for a look at the cases behind it, and proves nothing by itself.
"""

import math
from typing import NamedTuple

from webapp.core.errors import BadInput, require

# A drift of one standard deviation is what half of one is best at finding.
USUAL_ALLOWANCE = 0.5


class Chart(NamedTuple):
    """The sum after each eye, and the places [from 0] of the eyes at which it signalled."""

    path: list[float]
    signals: list[int]


def outcomes(events: list[int], acceptable: float, unacceptable: float, limit: float) -> Chart:
    """Return the chart of outcomes that either happened or did not, by log-likelihood ratio.

    Args:
        events: 1 for each eye that had it, else 0, in the order of surgery.
        acceptable: share of eyes with the event that is as it should be.
        unacceptable: the larger share that ought to be found.
        limit: the sum that signals, above 0; chosen by how seldom it may signal without a cause.

    Raises:
        BadInput: a share that is no share or not the larger one, an outcome that is neither 0 nor
            1, or a limit of 0.

    Example: 2 and 6 in 100 add ln 3 = 1.0986 for an event and take 0.0417 off without one.
    """
    require("acceptable", acceptable, 1e-6, 1.0 - 1e-6, "")
    require("unacceptable", unacceptable, 1e-6, 1.0 - 1e-6, "")
    if not acceptable < unacceptable:
        raise BadInput("unacceptable", "unacceptable must be a larger share than acceptable")
    if any(event not in (0, 1) for event in events):
        raise BadInput("events", "events must be 0 or 1 for each eye")
    with_event = math.log(unacceptable / acceptable)
    without = math.log((1.0 - unacceptable) / (1.0 - acceptable))
    return chart([with_event if event else without for event in events], limit)


def errors(
    sizes_sd: list[float], limit: float, allowance: float = USUAL_ALLOWANCE
) -> tuple[Chart, Chart]:
    """Return the charts of measured errors that drift upwards and downwards.

    Args:
        sizes_sd: each eye's error over its standard deviation, achieved minus predicted.
        limit: the sum that signals [standard deviations], above 0; 4 or 5 are usual.
        allowance: half the drift that ought to be found [standard deviations].

    Raises:
        BadInput: a limit of 0, or an error that is no finite number.
    """
    for size in sizes_sd:
        require("sizes_sd", size, -1e6, 1e6, "")
    upwards = chart([size - allowance for size in sizes_sd], limit)
    return upwards, chart([-size - allowance for size in sizes_sd], limit)


def chart(steps: list[float], limit: float) -> Chart:
    """Return the sum of steps that never falls below 0, begun again after each signal."""
    require("limit", limit, 1e-9, 1e6, "")
    path: list[float] = []
    signals: list[int] = []
    total = 0.0
    for place, step in enumerate(steps):
        total = max(0.0, total + step)
        path.append(total)
        if total >= limit:
            signals.append(place)
            total = 0.0
    return Chart(path, signals)
