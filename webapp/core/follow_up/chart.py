"""A trend as a drawing: every coordinate is made here, so that phone and desk draw the same.

The drawing is 320 by 150; the plot in it 256 by 100, its corner at (56, 8). Coordinates of points
and lines are inside the plot; what lies beyond it is cut off by the page.
"""

from webapp.core.units import to_step

WIDTH, HEIGHT = 256, 100
STEPS = (1, 2, 5)
MARGIN = 0.08
YEAR_D = 365.25


def chart_json(
    points: list[tuple[int, float, bool]],
    band: list[tuple[float, float, float, float]] | None,
    window: list[int],
    axis: tuple[float, float, float],
) -> dict[str, object]:
    """Return the coordinates of a chart, without the words at its axis.

    Args:
        points: (day, value, whether the line goes through its like).
        band: (day, low, middle, high) along the line, None without a line.
        window: lower and upper end of the range aimed at; empty without one.
        axis: of the values, as ``scale`` gives it.
    """
    low, high, _step = axis
    right = max([1.0, float(points[-1][0])] + ([] if band is None else [band[-1][0]]))

    def place(day: float, value: float) -> str:
        """Return "x,y" in the plot."""
        return tenths(day / right * WIDTH) + "," + tenths((high - value) / (high - low) * HEIGHT)

    drawn = [] if band is None else band
    upper = [place(day, top) for day, _low, _middle, top in drawn]
    lower = [place(day, bottom) for day, bottom, _middle, _high in reversed(drawn)]
    return {
        "line": " ".join([place(day, middle) for day, _low, middle, _high in drawn]),
        "band": " ".join(upper + lower),
        "points": [
            {"at": place(day, value).split(","), "alike": 1 if alike else 0}
            for day, value, alike in points
        ],
        "window": [place(0.0, float(end)).split(",")[1] for end in window],
        "ticks": [place(0.0, value).split(",")[1] for value in marks(axis)],
        "right": days_text(right),
    }


def marks(axis: tuple[float, float, float]) -> list[float]:
    """Return the values that are written at an axis, from its lower end."""
    low, high, step = axis
    found = [low]
    while found[-1] + step <= high:
        found.append(found[-1] + step)
    return found


def scale(values: list[float]) -> tuple[float, float, float]:
    """Return (low end, high end, step) of an axis of two to six steps that holds these values."""
    low, high = min(values), max(values)
    apart = high - low
    if apart <= 0.0:
        apart = max(abs(high) * MARGIN, 10.0)
    size, place = 1.0, 0
    while apart / size > 5.0:
        place += 1
        size = float(STEPS[place % 3] * 10 ** (place // 3))
    bottom = (low - apart * MARGIN) // size * size
    top = 0.0 - (0.0 - high - apart * MARGIN) // size * size
    return bottom, top, size


def tenths(value: float) -> str:
    """Return a coordinate with one decimal."""
    whole = int(to_step(value * 10.0, 1))
    size = abs(whole)
    return ("-" if whole < 0 else "") + str(size // 10) + "." + str(size % 10)


def days_text(days: float) -> str:
    """Return where the time axis ends: days up to a year, then years."""
    if days < 2 * YEAR_D:
        return "day " + str(int(to_step(days, 1)))
    return str(int(to_step(days / YEAR_D, 1))) + " years"
