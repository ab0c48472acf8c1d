"""What came of the lenses that were implanted: vault, astigmatism and acuity over many eyes.

Shares, intervals, sums and centroids are given over one eye of each person, the first with a lens:
two eyes of a person are alike, and would make an interval look narrower than it is. Below
``ENOUGH`` people there are none: of ten, an interval of a share spans half of all that is possible
(5 of 10: 24 to 76 in 100), and of fewer still more.
"""

import statistics
from collections.abc import Iterable
from typing import NamedTuple

from webapp.audit.acuity import decimal, efficacy_index, safety_index
from webapp.audit.centroid import Centroid, centroid
from webapp.audit.cusum import Chart
from webapp.audit.cusum import outcomes as chart_of
from webapp.audit.proportion import Interval, wilson

ENOUGH = 10
"""Fewest people over whom more than a count is given."""
LEVEL = 0.95
# Of 100 vaults some 25 come outside 250 to 750 um with own eyes to learn from (DEVELOPERS.md,
# "What was measured"). A limit of 3 is reached by chance once in some 200 eyes, and after some 18
# where it has doubled: 4,000 runs each, tests/audit/test_results.py.
ACCEPTABLE, UNACCEPTABLE, SIGNAL = 0.25, 0.5, 3.0
TWO_LINES_LOGMAR = 0.2


class Outcome(NamedTuple):
    """One lens and what was read of its eye; None for what was not read late enough."""

    person: str
    eye: str
    operated: str
    """Date, YYYY-MM-DD."""
    vault_um: int | None = None
    astigmatism_d: tuple[float, float] | None = None
    """Where the eye lies in the double-angle plot."""
    before_logmar: float | None = None
    corrected_logmar: float | None = None
    uncorrected_logmar: float | None = None


class Share(NamedTuple):
    """So many of so many people; the interval is None below ``ENOUGH``."""

    events: int
    people: int
    interval: Interval | None


class Vaults(NamedTuple):
    """Every vault in its band, and how many people's lie inside the window."""

    bands: list[int]
    """Below the first edge, between each two, from the last one on."""
    quartiles_um: tuple[float, float, float] | None
    inside: Share


class Drift(NamedTuple):
    """The running sum of vaults outside the window, in the order of surgery."""

    chart: Chart
    events: list[int]
    operated: list[str]


class Acuity(NamedTuple):
    """Corrected acuity after surgery beside before it; the indices are None below ``ENOUGH``."""

    lost: int
    """Worse by two lines or more."""
    kept: int
    gained: int
    safety: float | None
    efficacy: float | None
    efficacy_people: int


def first_of_each(outcomes: Iterable[Outcome]) -> list[Outcome]:
    """Return the first lens of each person, in the order of surgery; the right eye on one day."""
    firsts: dict[str, Outcome] = {}
    for one in sorted(outcomes, key=lambda one: (one.operated, one.eye != "R", one.person)):
        firsts.setdefault(one.person, one)
    return list(firsts.values())


def vaults(outcomes: list[Outcome], edges_um: tuple[int, int, int, int]) -> Vaults:
    """Return the distribution of vaults.

    Args:
        outcomes: every lens.
        edges_um: a touch, the window's two ends, and very high; the window holds both its ends.
    """
    touch, low, high, very_high = edges_um
    known = [one.vault_um for one in outcomes if one.vault_um is not None]
    bounds = (touch, low, high + 1, very_high + 1)
    bands = [0] * (len(bounds) + 1)
    for vault_um in known:
        bands[sum(vault_um >= bound for bound in bounds)] += 1
    firsts = [one for one in first_of_each(outcomes) if one.vault_um is not None]
    inside = sum(not is_outside(one, edges_um) for one in firsts)
    quartiles = None
    if len(firsts) >= ENOUGH:
        q1, q2, q3 = statistics.quantiles(known, n=4, method="inclusive")
        quartiles = (q1, q2, q3)
    return Vaults(bands, quartiles, share(inside, len(firsts)))


def is_outside(one: Outcome, edges_um: tuple[int, int, int, int]) -> bool:
    """Say whether a vault that was read lies outside the window."""
    return one.vault_um is not None and not edges_um[1] <= one.vault_um <= edges_um[2]


def share(events: int, people: int) -> Share:
    """Return a share with Wilson's interval, where there are enough people for one."""
    return Share(events, people, wilson(events, people, LEVEL) if people >= ENOUGH else None)


def drift(outcomes: list[Outcome], edges_um: tuple[int, int, int, int]) -> Drift | None:
    """Return the running sum of vaults outside the window; None below ``ENOUGH`` people."""
    firsts = [one for one in first_of_each(outcomes) if one.vault_um is not None]
    if len(firsts) < ENOUGH:
        return None
    events = [int(is_outside(one, edges_um)) for one in firsts]
    chart = chart_of(events, ACCEPTABLE, UNACCEPTABLE, SIGNAL)
    return Drift(chart, events, [one.operated for one in firsts])


def astigmatism(outcomes: list[Outcome]) -> tuple[int, Centroid | None]:
    """Return over how many people, and the centroid; None below ``ENOUGH`` people."""
    points = [one.astigmatism_d for one in first_of_each(outcomes) if one.astigmatism_d is not None]
    return len(points), centroid(points) if len(points) >= ENOUGH else None


def acuity(outcomes: list[Outcome]) -> Acuity:
    """Return how corrected acuity changed, over the first eye of each person."""
    firsts = first_of_each(outcomes)
    pairs = _pairs((one.before_logmar, one.corrected_logmar) for one in firsts)
    changes = [round(after - before, 2) for before, after in pairs]
    lost = sum(change >= TWO_LINES_LOGMAR for change in changes)
    gained = sum(change <= -TWO_LINES_LOGMAR for change in changes)
    without = _pairs((one.before_logmar, one.uncorrected_logmar) for one in firsts)
    return Acuity(
        lost,
        len(changes) - lost - gained,
        gained,
        safety_index(*_decimals(pairs)) if len(pairs) >= ENOUGH else None,
        efficacy_index(*_decimals(without)) if len(without) >= ENOUGH else None,
        len(without),
    )


def _pairs(found: Iterable[tuple[float | None, float | None]]) -> list[tuple[float, float]]:
    return [(before, after) for before, after in found if before is not None and after is not None]


def _decimals(pairs: list[tuple[float, float]]) -> tuple[list[float], list[float]]:
    """Return the acuities after surgery and before it, decimal."""
    return [decimal(after) for _, after in pairs], [decimal(before) for before, _ in pairs]
