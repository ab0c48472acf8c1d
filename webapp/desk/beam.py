"""The beam figure: where the lens will sit, as one curve a length over the lamplit window.

Every row has one scale, 0 to 1100 micrometres, and the window runs behind all rows unbroken.
Only geometry is made here; the template writes it as SVG attributes and classes. Curves are in
micrometres across, all else in shares of the width, so letters keep their size on any screen.
"""

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from webapp.desk.numbers import fixed, in_hundred, millimetres, spoken_in_hundred

UM_MAX = 1100
CURVE_STEP_UM = 20
BASE_PX = 40
PEAK_PX = 34
LABELLED_UM = (0, 250, 500, 750, 1000)


class Row(NamedTuple):
    """One length: its paths, its interval bar and the three counts in their zones."""

    length: str
    mean: str
    interval: str
    inside: str
    below: str
    above: str
    line: str
    bar_left: str
    bar_right: str
    mean_at: str
    low: str
    within: str
    high: str
    spoken: str
    is_chosen: bool


class Figure(NamedTuple):
    """All rows and the window they stand before."""

    rows: list[Row]
    window_left: str
    window_width: str
    window_right: str
    low_middle: str
    window_middle: str
    high_middle: str
    window_um: Sequence[int]
    ticks: list[tuple[str, int]]


def figure(
    lengths: Sequence[Mapping[str, Any]], window_um: Sequence[int], chosen_um: int | None
) -> Figure:
    """Return the geometry for the lengths of a plan.

    Args:
        lengths: the plan's lengths, with curve samples every 20 um from 0 to 1100.
        window_um: lower and upper edge of the window [um].
        chosen_um: length to mark [um], or None.
    """
    left, right = window_um
    tallest = max((max(length["curve"]) for length in lengths), default=0)
    rows = [_row(length, left, right, chosen_um, tallest) for length in lengths]
    return Figure(
        rows=rows,
        window_left=_share(left),
        window_width=_share(right - left),
        window_right=_share(right),
        low_middle=_share(left / 2),
        window_middle=_share((left + right) / 2),
        high_middle=_share((right + UM_MAX) / 2),
        window_um=window_um,
        ticks=[(_share(um), um) for um in LABELLED_UM],
    )


def _row(
    length: Mapping[str, Any], left: int, right: int, chosen_um: int | None, tallest: int
) -> Row:
    """Return one length's row; the same vertical scale in all rows, so that wide means low."""
    points = [
        (float(index * CURVE_STEP_UM), BASE_PX - PEAK_PX * height / (tallest or 1))
        for index, height in enumerate(length["curve"])
    ]
    low, within, high = (length[f"p_{zone}_e4"] for zone in ("low", "in", "high"))
    return Row(
        length=millimetres(length["length_um"]),
        mean=fixed(length["mean_um"], 1, 0),
        interval=f"{fixed(length['low95_um'], 1, 0)} to {fixed(length['high95_um'], 1, 0)}",
        inside=_area(points, left, right),
        below=_area(points, 0, left),
        above=_area(points, right, UM_MAX),
        line=_path(points),
        bar_left=_share(_within(length["low95_um"])),
        bar_right=_share(_within(length["high95_um"])),
        mean_at=_share(_within(length["mean_um"])),
        low=in_hundred(low),
        within=in_hundred(within),
        high=in_hundred(high),
        spoken=_spoken(length),
        is_chosen=length["length_um"] == chosen_um,
    )


def _spoken(length: Mapping[str, Any]) -> str:
    """Return the row as a sentence."""
    mean, low95, high95 = (
        _spoken_um(length[name]) for name in ("mean_um", "low95_um", "high95_um")
    )
    return (
        f"{millimetres(length['length_um'])} millimetres. Predicted vault {mean} "
        f"micrometres, 95 in 100 between {low95} and {high95}. "
        f"Of 100 such eyes: {spoken_in_hundred(length['p_in_e4'])} in the window, "
        f"{spoken_in_hundred(length['p_low_e4'])} too low, "
        f"{spoken_in_hundred(length['p_high_e4'])} too high."
    )


def _spoken_um(um: int) -> str:
    """Return whole micrometres with a minus as a word."""
    return f"minus {-um}" if um < 0 else str(um)


def _within(um: int) -> int:
    """Return ``um`` held to the drawn scale; only the drawing, the printed number is untouched."""
    return max(0, min(UM_MAX, um))


def _share(um: float) -> str:
    """Return a place on the scale as a share of its width, so that any screen width will do."""
    return f"{um * 100 / UM_MAX:.2f}%"


def _height_at(points: Sequence[tuple[float, float]], um: float) -> float:
    """Return the curve's height [px] between two samples."""
    place = min(int(um // CURVE_STEP_UM), len(points) - 2)
    (before_um, before), (after_um, after) = points[place], points[place + 1]
    return before + (after - before) * (um - before_um) / (after_um - before_um)


def _path(points: Sequence[tuple[float, float]]) -> str:
    """Return the points as an SVG path in micrometres across and pixels down."""
    return "M" + " L".join(f"{um:.0f} {height:.1f}" for um, height in points)


def _area(points: Sequence[tuple[float, float]], left: float, right: float) -> str:
    """Return the closed path under the curve between two places [um]."""
    if len(points) < 2:
        return ""
    inner = [point for point in points if left < point[0] < right]
    top = [(left, _height_at(points, left)), *inner, (right, _height_at(points, right))]
    return f"{_path([(left, BASE_PX), *top, (right, BASE_PX)])}Z"
