"""Counts of what each way said and what became of it, and the tables that are printed."""

from collections import Counter
from typing import NamedTuple

from scipy import stats

from tests.calibration.ways import WINDOW_UM, Chosen

FEW = 3
DANGEROUSLY_LOW_UM = 100
LIMITS = (0.05, 0.075, 0.10, 0.15)


class Seen(NamedTuple):
    """One eye: what was chosen and the vault that became of it [um]."""

    chosen: Chosen
    vault_um: float


def share(hits: list[bool]) -> str:
    """Return a share in 100 with its standard error, or a dash."""
    if not hits:
        return "      -      "
    part = sum(hits) / len(hits)
    error = (part * (1.0 - part) / len(hits)) ** 0.5
    return f"{100 * part:5.1f} +- {100 * error:3.1f} "


def covered(seen: list[Seen]) -> list[bool]:
    """Return for each eye that was promised an interval whether the vault lay in it."""
    return [
        one.chosen.said["low95_um"] <= one.vault_um <= one.chosen.said["high95_um"]
        for one in seen
        if one.chosen.said is not None
    ]


def inside(seen: list[Seen]) -> list[bool]:
    """Return for each eye whether its vault lay in the window."""
    return [WINDOW_UM[0] <= one.vault_um <= WINDOW_UM[1] for one in seen]


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
        low = [one.vault_um < DANGEROUSLY_LOW_UM for one in seen]
        high = [one.vault_um > 1000 for one in seen]
        outside = [not one for one in inside(seen)]
        more = sum(one.chosen.further for one in seen) / len(seen)
        lines.append(
            f"{way:46}{share(covered(seen))} {width_um(seen)}  {said_outside(seen)}"
            f" {share(outside)}{share(low)[:5]}     {share(high)[:5]}    {more:4.1f}"
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
        came = [
            share([one.vault_um < DANGEROUSLY_LOW_UM for one in part]) for part in (flagged, others)
        ]
        part = 100 * len(flagged) / len(seen)
        lines.append(f"{100 * limit:4.1f}    {part:8.1f}         {came[0]}          {came[1]}")
    return lines
