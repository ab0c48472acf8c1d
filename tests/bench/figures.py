"""What a benchmark reports: a ratio of two things, each round beside the other, and its noise."""

import json
import os
from collections.abc import Sequence
from math import ceil
from statistics import median
from typing import Any, NamedTuple


class Line(NamedTuple):
    """One figure, printed as one JSON object on one line."""

    name: str
    value: float
    unit: str
    conditions: dict[str, Any]

    def text(self) -> str:
        """Return the line; three significant digits say all that such a run can know."""
        return json.dumps(rounded(self._asdict()), ensure_ascii=False)


def ratio(
    name: str,
    ours_ms: Sequence[float],
    other_ms: Sequence[float],
    conditions: dict[str, Any],
    unit: str = "x",
) -> Line:
    """Return the line of a ratio.

    Each round measured both, one right after the other, so each round gives a ratio of its own:
    what slows the whole machine for a while then weighs on both. The value is their median.

    Args:
        name: of the benchmark.
        ours_ms: the time of each round [ms].
        other_ms: what it is held against, in the same rounds [ms].
        conditions: what else a reader must know.
        unit: "x" for how many times as long, "share" for a part of the whole.
    """
    rounds = [ours / other for ours, other in zip(ours_ms, other_ms, strict=True)]
    noise = {"rounds": len(rounds), "min": min(rounds), "max": max(rounds)}
    times = {"ours_ms": spread(ours_ms), "other_ms": spread(other_ms)}
    return Line(name, median(rounds), unit, {**conditions, **noise, **times, **machine()})


def machine() -> dict[str, Any]:
    """Return how many processors there are and how many programs wanted one in the last minute."""
    return {"processors": os.cpu_count(), "load": os.getloadavg()[0]}


def spread(values: Sequence[float]) -> dict[str, float]:
    """Return the median with the smallest and the largest value."""
    return {"median": median(values), "min": min(values), "max": max(values)}


def percentile(values: Sequence[float], percent: float) -> float:
    """Return the smallest value that at least ``percent`` of 100 values do not exceed."""
    rank = max(1, ceil(percent / 100.0 * len(values)))
    return sorted(values)[rank - 1]


def rounded(value: Any) -> Any:  # noqa: ANN401 - any JSON value
    """Return a JSON value with three significant digits in each number that is not whole."""
    if isinstance(value, float):
        return float(f"{value:.3g}")
    if isinstance(value, dict):
        return {name: rounded(part) for name, part in value.items()}
    if isinstance(value, list | tuple):
        return [rounded(part) for part in value]
    return value
