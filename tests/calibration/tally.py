"""Counts of what each way said and what became of it, and the tables that are printed."""

from collections import Counter
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from scipy import stats

from tests.calibration.ways import WINDOW_UM, Chosen
from webapp.audit.clusters import clustered_mean

FEW = 3
DANGEROUSLY_LOW_UM, DANGEROUSLY_HIGH_UM = 100, 1000
LIMITS = (0.05, 0.075, 0.10, 0.15)


class Seen(NamedTuple):
    """One eye: its centre's number, what was chosen and the vault that became of it [um]."""

    centre: int
    chosen: Chosen
    vault_um: float


def share(seen: list[Seen], holds: Callable[[Seen], bool]) -> str:
    """Return in how many of 100 eyes something holds, with its standard error, or a dash.

    Eyes of one centre miss alike, so the error is that of a mean over centres.
    """
    if not seen:
        return "      -      "
    centres: dict[int, list[float]] = {}
    for one in seen:
        centres.setdefault(one.centre, []).append(float(holds(one)))
    found = clustered_mean(list(centres.values()))
    return f"{100 * found.mean:5.1f} +- {100 * (found.robust_se or 0.0):3.1f} "


def is_covered(one: Seen) -> bool:
    """Return whether the vault lay in the interval that was promised."""
    said = one.chosen.said
    return said is not None and bool(said["low95_um"] <= one.vault_um <= said["high95_um"])


def is_inside(one: Seen) -> bool:
    """Return whether the vault lay in the window."""
    return WINDOW_UM[0] <= one.vault_um <= WINDOW_UM[1]


def is_low(one: Seen) -> bool:
    """Return whether the vault is dangerously low."""
    return one.vault_um < DANGEROUSLY_LOW_UM


def is_high(one: Seen) -> bool:
    """Return whether the vault is dangerously high."""
    return one.vault_um > DANGEROUSLY_HIGH_UM


def said_outside(seen: list[Seen]) -> str:
    """Return the mean chance of a vault outside the window that was promised."""
    said = [one.chosen.said["p_in_e4"] for one in seen if one.chosen.said is not None]
    return f"{100 - sum(said) / len(said) / 100:5.1f}" if said else "    -"


def width_um(seen: list[Seen]) -> str:
    """Return the mean width of the promised interval."""
    widths = [
        one.chosen.said["high95_um"] - one.chosen.said["low95_um"]
        for one in seen
        if one.chosen.said is not None
    ]
    return f"{sum(widths) / len(widths):6.0f}" if widths else "     -"


def vault_table(found: dict[str, list[Seen]]) -> list[str]:
    """Return the lines of the table of vaults, one for each way."""
    lines = [
        f"{'':46}in the 95 %   width   outside 250-750 um    below     above    more",
        f"{'way of choosing':46}interval      um      said  came          100       1000     read",
    ]
    for way, seen in found.items():
        promised = [one for one in seen if one.chosen.said is not None]
        outside = share(seen, lambda one: not is_inside(one))
        low, high = share(seen, is_low)[:5], share(seen, is_high)[:5]
        more = sum(one.chosen.further for one in seen) / len(seen)
        lines.append(
            f"{way:46}{share(promised, is_covered)} {width_um(seen)}  {said_outside(seen)}"
            f" {outside}{low}     {high}    {more:4.1f}"
        )
    return lines


def cautions(one: Seen) -> list[str]:
    """Return the codes of the cautions that a plan raised."""
    return [code for code, _ in one.chosen.cautions]


def caution_table(found: dict[str, list[Seen]]) -> list[str]:
    """Return how many candidates get 0, 1, 2, 3 and more cautions, in 100, for each way."""
    lines = [f"{'cautions of a plan':46}    0     1     2     3  more    D32"]
    for way, seen in found.items():
        if seen[0].chosen.said is None:
            continue
        counts = Counter(min(len(cautions(one)), FEW + 1) for one in seen)
        vault = sum("D32.vault" in cautions(one) for one in seen)
        cells = [100 * counts[number] / len(seen) for number in range(FEW + 2)]
        lines.append(f"{way:46}" + "".join(f"{cell:6.1f}" for cell in cells)
                     + f"{100 * vault / len(seen):7.1f}")  # fmt: skip
    return lines


def which(seen: list[Seen]) -> str:
    """Return the cautions that were raised most, in 100 candidates."""
    counts = Counter(code for one in seen for code in cautions(one))
    return ", ".join(f"{code} {100 * n / len(seen):.0f}" for code, n in counts.most_common(8))


def low_chance(one: Seen) -> float:
    """Return the promised chance of a vault below 100 um (scipy's Student t)."""
    said = one.chosen.said
    assert said is not None
    z = (DANGEROUSLY_LOW_UM - said["mean_um"]) / said["scale_um"]
    return float(stats.t.cdf(z, said["dof"]))


def limit_table(seen: list[Seen]) -> list[str]:
    """Return what each limit of D32's chance below 100 um would flag, and what it would find."""
    lines = ["limit   flagged in 100   of those below 100 um   of the others"]
    for limit in LIMITS:
        flagged = [one for one in seen if low_chance(one) > limit]
        others = [one for one in seen if low_chance(one) <= limit]
        came = [share(part, is_low) for part in (flagged, others)]
        part = 100 * len(flagged) / len(seen)
        lines.append(f"{100 * limit:4.1f}    {part:8.1f}         {came[0]}          {came[1]}")
    return lines


def alike(misses: dict[str, list[tuple[float, float]]]) -> str:
    """Return how alike two eyes miss, by the model that was asked.

    Both are misses of one prediction, so they are compared about zero and not about their mean.
    """
    said = []
    for model, pairs in misses.items():
        one, other = np.array(pairs).T
        found = float(np.mean(one * other) / np.sqrt(np.mean(one**2) * np.mean(other**2)))
        said.append(f"{model} {found:.2f}")
    return ", ".join(said)
