"""Trends of one lens: the line and its 95 % prediction interval, judged by statsmodels.

The counts of the worked example (SCIENCE E2) are invented there: 2640, 2610, 2580, 2555 and 2490 at
0.5, 1, 2, 3 and 5 years; 1.24 % fewer a year.
"""

import json
import math
from typing import Any

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st

from tests.core import records
from tests.core.decided import eye_of
from tests.core.surgeries import found, implanted
from tests.core.test_follow_up_schedule import date_of
from tests.core_runtime import Core
from webapp.core.follow_up import chart, line

Entry = records.Entry
YEARS = (0.5, 1.0, 2.0, 3.0, 5.0)
COUNTS = (2640, 2610, 2580, 2555, 2490)
SERIES = st.lists(
    st.tuples(st.integers(0, 4000), st.integers(50, 1500)), min_size=3, max_size=12,
    unique_by=lambda one: one[0],
)  # fmt: skip


def predicted(x: list[float], y: list[float], new: float) -> tuple[float, float, float]:
    """Return (low, middle, high) of a new observation by statsmodels' least squares."""
    model = sm.OLS(np.array(y), sm.add_constant(np.array(x))).fit()
    frame = model.get_prediction(np.array([[1.0, new]])).summary_frame(alpha=0.05)
    return tuple(float(frame[name].iloc[0]) for name in ("obs_ci_lower", "mean", "obs_ci_upper"))  # type: ignore[return-value]


@given(SERIES, st.integers(0, 6000))
def test_line_and_interval_against_statsmodels(series: list[tuple[int, int]], new: int) -> None:
    """Any readings of three or more days give what another implementation gives."""
    x, y = [day / 365.25 for day, _ in series], [float(value) for _, value in series]
    fitted = line.fit(x, y)
    assert fitted is not None
    low, middle, high = predicted(x, y, new / 365.25)
    scale = max(1.0, abs(high - low))
    assert line.at(fitted, new / 365.25) == pytest.approx(middle, abs=1e-6 * scale)
    half = line.half_width(fitted, new / 365.25)
    assert half == pytest.approx((high - low) / 2, abs=1e-6 * scale)


def test_no_line_from_two_days() -> None:
    """However many readings two days have, they show no trend."""
    assert line.fit([0.0, 0.0, 1.0, 1.0], [1.0, 2.0, 3.0, 4.0]) is None
    assert line.fit([0.0, 1.0], [1.0, 2.0]) is None


def trends(*entries: Entry) -> dict[str, Any]:
    """Return the trends of the right eye's lens by kind."""
    fold = eye_of([records.person(), *entries], today=date_of(2000))
    return {one["kind"]: one for one in fold["surgeries"][0]["trends"]}


def counted(surgery: Entry, **changed: object) -> list[Entry]:
    """Return the five counts."""
    return [
        found("endothelial_count", surgery, "R", f"{date_of(round(year * 365.25))}T08:00:00.000Z",
              seq=30 + place, ecd_pmm2=count, **changed)
        for place, (year, count) in enumerate(zip(YEARS, COUNTS, strict=True))
    ]  # fmt: skip


def vaults(surgery: Entry, *values: int, **changed: object) -> list[Entry]:
    """Return vaults of days 1, 8, 31 and so on."""
    days = (1, 8, 31, 92, 184)
    return [
        found("vault", surgery, "R", f"{date_of(day)}T08:00:00.000Z", seq=50 + day,
              vault_um=value, **changed)
        for day, value in zip(days, values, strict=False)
    ]  # fmt: skip


def test_endothelium_as_worked() -> None:
    """1.24 % a year, and a projection with its interval, all on logarithms."""
    surgery = implanted("R")
    text = trends(surgery, *counted(surgery))["followup.endothelial_count"]["text"]
    days = [round(year * 365.25) / 365.25 for year in YEARS]
    low, middle, high = predicted(days, [math.log(one) for one in COUNTS], 10.0)
    between = f"between {round(math.exp(low))} and {round(math.exp(high))}"
    assert text.startswith("1.24 % fewer each year. 10 years after surgery a count would lie")
    assert between in text
    assert f"about {round(math.exp(middle))} cells/mm" in text


def test_counts_within_a_year_make_no_line() -> None:
    """A rate from months alarms by chance alone."""
    surgery = implanted("R")
    early = [
        found("endothelial_count", surgery, "R", f"{date_of(day)}T08:00:00.000Z", seq=day,
              ecd_pmm2=2600 - day)
        for day in (30, 90, 360)
    ]  # fmt: skip
    one = trends(surgery, *early)["followup.endothelial_count"]
    assert one["text"].startswith("No line yet")
    assert (one["chart"]["line"], one["chart"]["band"]) == ("", "")


def test_vault_in_one_light_and_by_one_device() -> None:
    """A reading in another light stands in the picture, and the line does not go through it."""
    surgery = implanted("R")
    dim = vaults(surgery, 700, 650, 620, 600)
    bright = found("vault", surgery, "R", f"{date_of(9)}T08:00:00.000Z", seq=9,
                   light="photopic", vault_um=300)  # fmt: skip
    alone, both = trends(surgery, *dim), trends(surgery, *dim, bright)
    assert alone["followup.vault"]["text"] == both["followup.vault"]["text"]
    assert [one["alike"] for one in both["followup.vault"]["points"]] == [1, 1, 0, 1, 1]
    assert len(both["followup.vault"]["chart"]["points"]) == 5


def test_never_across_lenses() -> None:
    """What was read after another surgery is not in the picture (I22, H36)."""
    surgery, other = implanted("R"), implanted("L", serial="TI-2")
    mine = vaults(surgery, 700, 650)
    stray = found("vault", other, "R", f"{date_of(31)}T08:00:00.000Z", vault_um=200)
    one = trends(surgery, other, *mine, stray)["followup.vault"]
    assert [each["value"] for each in one["points"]] == ["700", "650"]
    assert one["text"].startswith("No line yet")


def test_drawing_keeps_the_points_apart_and_inside() -> None:
    """Later is further right, more is higher up, and every reading lies in the plot."""
    surgery = implanted("R")
    one = trends(surgery, *vaults(surgery, 1300, 900, 620, 600))["followup.vault"]["chart"]
    x = [float(point["at"][0]) for point in one["points"]]
    y = [float(point["at"][1]) for point in one["points"]]
    assert x == sorted(x)
    assert y == sorted(y)
    assert min(x) >= 0
    assert max(x) <= chart.WIDTH
    assert min(y) >= 0
    assert max(y) <= chart.HEIGHT
    # The window's upper end is drawn above its lower one.
    assert float(one["window"][1]) < float(one["window"][0])


@given(st.lists(st.floats(-3000, 5000), min_size=1, max_size=8))
def test_axis_holds_every_value(values: list[float]) -> None:
    """Two to seven marks, and nothing outside them."""
    low, high, step = chart.scale(values)
    assert low <= min(values)
    assert high >= max(values) - 1e-6
    assert 2 <= len(chart.marks((low, high, step))) <= 9


def test_both_pythons_draw_alike(core: Core) -> None:
    """Phone and base draw the same picture and say the same (I23)."""
    surgery = implanted("R")
    entries = [records.person(), surgery, *counted(surgery), *vaults(surgery, 700, 650, 620, 600)]
    asked = records.fold_request(entries, today=date_of(2000))
    (text,) = core("door", "call", json.dumps(asked)).values()
    here = eye_of(entries, today=date_of(2000))["surgeries"][0]["trends"]
    assert json.loads(text)["eyes"]["R"]["surgeries"][0]["trends"] == here
