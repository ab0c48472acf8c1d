"""Published equations: the worked values of each, and that no plan uses one."""

import json
from typing import Any

import pytest

from tests.core import records
from tests.core_runtime import Core
from webapp.core import comparators

# One invented eye, worked by hand from each published equation. The fifth: 3.75 + 0.46 x 12.13 +
# 0.95 x 3.1 + 1.25 x 0.4 = 12.7748 mm.
EYE_MM = {
    "L": 12.6, "hSTS": 12.13, "vSTS": 12.5, "LT": 3.7, "ATA": 11.8, "ACW": 11.7, "CLR": -0.05,
    "ACD": 3.1, "STSL": 0.4,
}  # fmt: skip
WORKED = [
    ("Regression of 2021", 107.6, 0.1),
    ("Regression of 2026", 450.6, 0.1),
    ("Angle regression of 2019", 615.3, 0.1),
    ("Spur regression of 2018", 12.58, 0.001),
    ("Sulcus regression of 2012", 12.7748, 0.0001),
]


def worked_steps(core: Core, *more: records.Entry) -> dict[str, Any]:
    """Return the working of a whole eye with further readings."""
    asked = {**records.plan_request([*records.whole_eye(), *more]), "do": "working"}
    answer: dict[str, Any] = json.loads(core("door", "call", json.dumps(asked))["value"])
    return answer


@pytest.mark.parametrize(("name", "result", "tolerance"), WORKED)
def test_worked_value(core: Core, name: str, result: float, tolerance: float) -> None:
    """Each equation gives its worked value in both Pythons; the sources stand in the module."""
    (one,) = [one for one in comparators.COMPARATORS if one.name == name]
    found = core("comparators", "value", ["Comparator", list(one)], EYE_MM)
    assert found["value"] == pytest.approx(result, abs=tolerance)


def test_they_disagree_by_500_um() -> None:
    """On one eye, as their heading says."""
    found = [comparators.value(one, EYE_MM) for one in comparators.COMPARATORS[:3]]
    assert max(found) - min(found) == pytest.approx(500.0, abs=20.0)


def test_each_says_how_it_is_known() -> None:
    """Read or from memory, and on how many eyes."""
    for one in comparators.COMPARATORS:
        assert "abstract read" in one.source or "from memory" in one.source
        assert one.n and one.fit


class TestShown:
    """Only in the working, only with every input."""

    def test_none_without_a_sulcus_scan(self, core: Core) -> None:
        """White-to-white is no input of any of them."""
        assert worked_steps(core)["comparators"]["lines"] == []

    def test_the_one_that_a_scan_allows(self, core: Core) -> None:
        """\u22122286.216 \u2212 164.416 x 12.10 + 375.487 x 12.6 = 455 um (by hand)."""
        found = worked_steps(core, records.reading("reading.sulcus_to_sulcus"))
        lens_um = found["lens"]["length_um"]
        (line,) = found["comparators"]["lines"]
        by_hand = -2286.216 - 164.416 * 12.10 + 375.487 * lens_um / 1000.0
        assert line["gives"] == f"vault {by_hand:.0f} \u00b5m"
        assert "72 eyes" in line["about"]
        assert found["comparators"]["title"].endswith("used nowhere")

    def test_a_rise_over_the_angle_is_no_rise_over_the_sulcus(self, core: Core) -> None:
        """The equation of 2012 takes the one and never the other."""
        scan = records.reading("reading.sulcus_to_sulcus")
        for tag, names in (("angle_recess", 1), ("sulcus", 2)):
            rise = records.reading("reading.lens_rise", reference=tag)
            assert len(worked_steps(core, scan, rise)["comparators"]["lines"]) == names

    def test_no_plan_holds_one(self, core: Core) -> None:
        """The plan's answer does not name them."""
        entries = [*records.whole_eye(), records.reading("reading.sulcus_to_sulcus")]
        asked = json.dumps(records.plan_request(entries))
        text = core("door", "call", asked)["value"]
        assert "comparators" not in text and "Regression of" not in text
