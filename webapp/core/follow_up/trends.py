"""The readings of one lens over time: points, a line where there are enough, and what it says.

Never across lenses (I22): an implant's own follow-ups are all that comes in here. A line goes
through readings of one kind alone, since light, device and plane each shift a value.
"""

import math
from collections import namedtuple

from webapp.core.case.implants import Implant, days_after
from webapp.core.describe_values import value_text
from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.follow_up import line
from webapp.core.follow_up.chart import chart_json, marks, scale
from webapp.core.live import of_kind
from webapp.core.units import to_step
from webapp.core.wording import fixed, signed

YEAR_D = 365.25
SPAN_COUNTS_D = 365
PROJECTED_Y = 10

# tag: what readings must share for one line through them. is_log: the line goes through logarithms.
Trend = namedtuple("Trend", ("kind", "title", "tag", "is_log"))
Point = namedtuple("Point", ("entry", "day", "value", "tag"))


def light_and_device(entry: Entry) -> str:
    """Return the light and the device of a vault."""
    return str(entry.body["light"]) + " " + str(entry.body["device"])


def device(entry: Entry) -> str:
    """Return the device of a reading."""
    return str(entry.body["device"])


def plane(entry: Entry) -> str:
    """Return where a refraction holds."""
    return str(entry.body["plane"])


TRENDS = (
    Trend("followup.vault", "Vault", light_and_device, 0),
    Trend("followup.refraction", "Mean refraction", plane, 0),
    Trend("followup.pressure", "Pressure", device, 0),
    Trend("followup.endothelial_count", "Endothelial count", device, 1),
)
UNITS = {
    "followup.vault": "\u00b5m", "followup.refraction": "D", "followup.pressure": "mmHg",
    "followup.endothelial_count": "cells/mm\u00b2",
}  # fmt: skip


def value_of(entry: Entry) -> float:
    """Return a reading's value: um, hundredths of a dioptre, tenths of mmHg, cells/mm2."""
    body = entry.body
    if entry.kind == "followup.vault":
        return float(body["vault_um"])
    if entry.kind == "followup.refraction":
        return float(body["sphere_cD"] + body["cylinder_cD"] / 2.0)
    if entry.kind == "followup.pressure":
        return float(body["iop_dmmHg"])
    return float(body["ecd_pmm2"])


def shown(kind: str, value: float) -> str:
    """Return a value as text, without its unit."""
    whole = int(to_step(value, 1))
    if kind == "followup.refraction":
        return signed(whole)
    if kind == "followup.pressure":
        return fixed(whole, 10, 1)
    return str(whole)


def trends_json(exam: Exam, implant: Implant) -> list[dict[str, object]]:
    """Return the trends of one lens, each quantity with at least one reading."""
    found = []
    for trend in TRENDS:
        points = points_of(implant, trend)
        if points:
            found.append(trend_json(exam, trend, points))
    return found


def points_of(implant: Implant, trend: Trend) -> list[Point]:
    """Return the readings of a quantity after one surgery, oldest first."""
    return [
        Point(one, max(days_after(implant.entry, one), 0), value_of(one), trend.tag(one))
        for one in of_kind(implant.followups, trend.kind)
    ]


def trend_json(exam: Exam, trend: Trend, points: list[Point]) -> dict[str, object]:
    """Return one trend as it crosses the door."""
    alike = [one for one in points if one.tag == points[-1].tag]
    fitted = fit_of(trend, alike)
    window = [exam.limits["window_low_um"], exam.limits["window_high_um"]]
    aimed = window if trend.kind == "followup.vault" else []
    tag = points[-1].tag
    axis = scale([one.value for one in points] + [float(end) for end in aimed])
    return {
        "kind": trend.kind,
        "title": trend.title,
        "unit": UNITS[trend.kind],
        "points": [point_json(trend, one, tag) for one in points],
        "text": said(trend, alike, fitted),
        "axis": [shown(trend.kind, value) for value in marks(axis)],
        "chart": chart_json(
            [(one.day, one.value, one.tag == tag) for one in points],
            None if fitted is None else band(trend, alike, fitted), aimed, axis,
        ),
    }  # fmt: skip


def point_json(trend: Trend, point: Point, tag: str) -> dict[str, object]:
    """Return one reading of a trend, and whether the line goes through its like."""
    return {
        "day": point.day,
        "value": shown(trend.kind, point.value),
        "text": value_text(point.entry),
        "alike": 1 if point.tag == tag else 0,
    }


def fit_of(trend: Trend, alike: list[Point]) -> line.Fit | None:
    """Return the line through readings taken alike; of counts only over a year or more."""
    if trend.is_log and alike[-1].day - alike[0].day < SPAN_COUNTS_D:
        return None
    values = [math.log(one.value) if trend.is_log else one.value for one in alike]
    return line.fit([one.day / YEAR_D for one in alike], values)


def interval(trend: Trend, fitted: line.Fit, day: float) -> tuple[float, float, float]:
    """Return (low, middle, high) of where one more reading of a day would lie, 95 in 100."""
    years = day / YEAR_D
    middle, half = line.at(fitted, years), line.half_width(fitted, years)
    ends = (middle - half, middle, middle + half)
    if trend.is_log:
        return math.exp(ends[0]), math.exp(ends[1]), math.exp(ends[2])
    return ends


def band(
    trend: Trend, alike: list[Point], fitted: line.Fit
) -> list[tuple[float, float, float, float]]:
    """Return (day, low, middle, high) along the line, half as far on again as it was watched."""
    first, last = alike[0].day, alike[-1].day
    days = [first + (last - first) * step / 8.0 for step in range(13)]
    return [(day,) + interval(trend, fitted, day) for day in days]


def said(trend: Trend, alike: list[Point], fitted: line.Fit | None) -> str:
    """Return what the readings say in a sentence; a line from few of them promises little."""
    if fitted is None:
        need = ", over a year" if trend.is_log else ""
        return ("No line yet: it takes readings of three days" + need
                + ", taken alike (device, light, plane).")  # fmt: skip
    unit = " " + UNITS[trend.kind]
    if trend.is_log:
        loss = 0.0 - 100.0 * math.expm1(fitted.line.slope)
        low, middle, high = interval(trend, fitted, PROJECTED_Y * YEAR_D)
        word = " % fewer" if loss >= 0.0 else " % more"
        return (
            fixed(int(to_step(abs(loss) * 100.0, 1)), 100, 2) + word + " each year. "
            + str(PROJECTED_Y) + " years after surgery a count would lie between "
            + shown(trend.kind, low) + " and " + shown(trend.kind, high) + ", about "
            + shown(trend.kind, middle) + unit + " (95 in 100, if it goes on so)."
        )  # fmt: skip
    low, _middle, high = interval(trend, fitted, alike[-1].day)
    slope = fitted.line.slope
    way = "up" if slope >= 0.0 else "down"
    size = shown(trend.kind, abs(slope)).replace("+", "")
    return (
        "Line through " + str(fitted.line.n) + " readings: " + way + " by " + size + unit
        + " a year. One more reading now would lie between " + shown(trend.kind, low) + " and "
        + shown(trend.kind, high) + unit + " (95 in 100)."
    )  # fmt: skip
