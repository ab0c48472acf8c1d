"""What one more reading is expected to do: against simulated eyes, and in a plan's own words."""

import json
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from scipy import stats

from tests.core import records
from tests.core_runtime import Core, in_cpython
from webapp.core.lens_length import Window
from webapp.core.plan import measure_next
from webapp.core.plan.measure_next import Known

LENGTHS_MM = [11.6, 12.1, 12.6, 13.1, 13.6]
WINDOW = Window(250.0, 750.0)
# White-to-whites from the middle of the catalogue to its ends, between and at its steps [mm].
DIAMETERS_MM = [10.6, 10.9, 11.25, 11.4, 11.62, 11.75, 12.0, 12.3, 12.6]
Numbers = npt.NDArray[np.float64]


def sulcus_model(readings: int) -> tuple[float, float]:
    """Return sigma0 [um] and centring [mm] for the mean of some sulcus scans, worked by hand.

    175 um of which 550 x 0.23 um is one scan's own error; lens longer than the sulcus by 0.5 mm.
    """
    return float(np.sqrt(175.0**2 - (550.0 * 0.23) ** 2 * (1.0 - 1.0 / readings))), 0.5


def white_model(readings: int) -> tuple[float, float]:
    """Return sigma0 [um] and centring [mm] for the mean of some white-to-whites, by hand."""
    return float(np.sqrt(233.0**2 - (550.0 * 0.117) ** 2 * (1.0 - 1.0 / readings))), 0.98


def chances(diameters_mm: Numbers, model: tuple[float, float]) -> Numbers:
    """Return the chance of each length (rows: diameters), straight from the written-out prior.

    Intercept 500 +- 150 um, slope 550 +- 160 um/mm, error IG(4, 3 sigma0^2): a Student t with 8
    degrees of freedom.
    """
    sigma_um, centre_mm = model
    excess = np.array(LENGTHS_MM)[None, :] - diameters_mm[:, None] - centre_mm
    variance = 0.75 * (sigma_um**2 + 150.0**2 + (160.0 * excess) ** 2)
    t = stats.t(8, 500.0 + 550.0 * excess, np.sqrt(variance))
    inside: Numbers = t.cdf(750.0) - t.cdf(250.0)
    return inside


def drawn(spread_mm: float) -> Numbers:
    """Return 40,000 differences of a new diameter, in a repeatable order."""
    return np.random.default_rng(20261125).normal(0.0, spread_mm, 40_000)


def best(diameter_mm: float, model: tuple[float, float]) -> float:
    """Return the chance of the best length for one diameter."""
    return float(chances(np.array([diameter_mm]), model).max())


def white(diameter_mm: float, readings: int = 1) -> Known:
    """Return an eye known by its white-to-white."""
    return Known(LENGTHS_MM, WINDOW, "white_to_white", diameter_mm, readings, None)


def sulcus(diameter_mm: float, readings: int = 1) -> Known:
    """Return an eye known by its sulcus."""
    return Known(LENGTHS_MM, WINDOW, "sulcus_to_sulcus", diameter_mm, readings, None)


class TestSimulated:
    """Mean over 40,000 drawn readings, numpy and scipy alone; their own error is 0.0007 at most."""

    @pytest.mark.parametrize("diameter_mm", DIAMETERS_MM)
    def test_first_sulcus_scan(self, diameter_mm: float) -> None:
        """A scan lies 0.48 +- 0.28 mm beyond the white-to-white (273 eyes, abstract read)."""
        scans = diameter_mm + 0.48 + drawn(0.28)
        expected = chances(scans, sulcus_model(1)).max(axis=1).mean()
        found = measure_next.chance_after_sulcus(white(diameter_mm))
        assert found == pytest.approx(expected, abs=0.003)

    @pytest.mark.parametrize("readings", [1, 2, 4])
    @pytest.mark.parametrize("diameter_mm", DIAMETERS_MM)
    def test_repeats(self, diameter_mm: float, readings: int) -> None:
        """A new reading is drawn about the mean of those there, and averaged in with them."""
        for known, error_mm, model in (
            (sulcus(diameter_mm + 0.48, readings), 0.23, sulcus_model(readings + 1)),
            (white(diameter_mm, readings), 0.117, white_model(readings + 1)),
        ):
            new = known.diameter_mm + drawn(error_mm * np.sqrt(1.0 + 1.0 / readings))
            means = (readings * known.diameter_mm + new) / (readings + 1)
            expected = chances(means, model).max(axis=1).mean()
            found = measure_next.chance_after_repeat(known)
            assert found == pytest.approx(expected, abs=0.003)

    @pytest.mark.parametrize("diameter_mm", DIAMETERS_MM)
    def test_first_lens_rise(self, diameter_mm: float) -> None:
        """0.3 +- 0.23 mm over the angle; each mm takes 400 +- 300 um (the written-out prior)."""
        rises = drawn(0.23)[:, None]
        excess = np.array(LENGTHS_MM)[None, :] - diameter_mm - 0.98
        spread = 233.0**2 + 150.0**2 + (160.0 * excess) ** 2 + (300.0 * rises) ** 2
        t = stats.t(8, 500.0 + 550.0 * excess - 400.0 * rises, np.sqrt(0.75 * spread))
        expected = (t.cdf(750.0) - t.cdf(250.0)).max(axis=1).mean()
        found = measure_next.chance_after_rise(white(diameter_mm))
        assert found == pytest.approx(expected, abs=0.003)

    def test_chance_is_how_often_it_comes_true(self) -> None:
        """Vaults drawn from the whole model, length by the scan: as many in the window as said."""
        rng = np.random.default_rng(7)
        count, diameter_mm = 200_000, 11.4
        scans = diameter_mm + 0.48 + rng.normal(0.0, 0.28, count)
        chosen = np.array(LENGTHS_MM)[chances(scans, sulcus_model(1)).argmax(axis=1)]
        sigma = np.sqrt(3.0 * 175.0**2 / rng.gamma(4.0, 1.0, count))
        level = 500.0 + sigma / 175.0 * rng.normal(0.0, 150.0, count)
        slope = 550.0 + sigma / 175.0 * rng.normal(0.0, 160.0, count)
        vaults = level + slope * (chosen - scans - 0.5) + rng.normal(0.0, 1.0, count) * sigma
        came_true = ((vaults >= 250.0) & (vaults <= 750.0)).mean()
        found = measure_next.chance_after_sulcus(white(diameter_mm))
        assert found == pytest.approx(came_true, abs=0.004)


class TestGain:
    """What a gain may be."""

    @pytest.mark.parametrize("diameter_mm", DIAMETERS_MM)
    def test_choosing_after_the_reading_never_loses(self, diameter_mm: float) -> None:
        """A length chosen after the scan does as well as any length fixed before it."""
        fixed = chances(diameter_mm + 0.48 + drawn(0.28), sulcus_model(1)).mean(axis=0).max()
        assert measure_next.chance_after_sulcus(white(diameter_mm)) >= fixed - 0.003
        for readings in (1, 2, 3):
            known = sulcus(diameter_mm + 0.48, readings)
            moves = drawn(0.23 / np.sqrt(readings * (readings + 1.0)))
            after = chances(known.diameter_mm + moves, sulcus_model(readings + 1))
            best_fixed = after.mean(axis=0).max()
            assert measure_next.chance_after_repeat(known) >= best_fixed - 0.003

    @pytest.mark.parametrize("diameter_mm", DIAMETERS_MM)
    def test_at_most_a_hair_below_what_the_plan_shows(self, diameter_mm: float) -> None:
        """Against the plan's own number nothing loses more than 0.6 in 100, a third of a line.

        That is what it costs to read a normal error out of a residual that is a Student t.
        """
        now = best(diameter_mm, white_model(1))
        assert measure_next.chance_after_sulcus(white(diameter_mm)) >= now - 0.006
        for readings in (1, 2, 3):
            known = sulcus(diameter_mm + 0.48, readings)
            after = measure_next.chance_after_repeat(known)
            assert after >= best(known.diameter_mm, sulcus_model(readings)) - 0.006
            after = measure_next.chance_after_repeat(white(diameter_mm, readings))
            assert after >= best(diameter_mm, white_model(readings)) - 0.006

    def test_a_later_repeat_gains_less(self) -> None:
        """The second scan helps more than the third, the third more than the fourth."""
        gains = []
        for readings in (1, 2, 3):
            gains.append(
                np.mean(
                    [
                        measure_next.chance_after_repeat(sulcus(one + 0.48, readings))
                        - best(one + 0.48, sulcus_model(readings))
                        for one in np.arange(10.8, 12.6, 0.05)
                    ]
                )
            )
        assert gains[0] > gains[1] > gains[2] > 0.0

    def test_both_pythons_agree(self, browser_core: Core) -> None:
        """The same expectation to the last digit that is recorded."""
        for function, known in (
            ("chance_after_sulcus", white(11.37)),
            ("chance_after_repeat", sulcus(11.93, 2)),
            ("chance_after_rise", white(11.37)),
        ):
            here, there = (
                run("plan.measure_next", function, ["Known", as_written(known)])
                for run in (in_cpython, browser_core)
            )
            assert round(here["value"] * 1e4) == round(there["value"] * 1e4)


def as_written(known: Known) -> list[object]:
    """Return an eye the way the bridge between the Pythons takes it."""
    return [known.lengths_mm, ["Window", list(known.window)], *known[2:]]


def advised(core: Core, entries: list[records.Entry]) -> dict[str, Any]:
    """Return what a plan says to measure next."""
    asked = json.dumps(records.plan_request(entries))
    found: dict[str, Any] = json.loads(core("door", "call", asked)["value"])["measure_next"]
    return found


class TestInAPlan:
    """The lines as the optometrist reads them."""

    def test_sulcus_scan_before_refraction(self, core: Core) -> None:
        """61 in 100 for a white-to-white between two lengths, 72 after a scan (worked)."""
        lines = advised(core, records.whole_eye(white_to_white={"diameter_um": 11400}))["lines"]
        assert lines[0]["kind"] == "reading.sulcus_to_sulcus"
        now, after = best(11.4, white_model(1)), chances(11.88 + drawn(0.28), sulcus_model(1))
        assert lines[0]["now_e4"] == pytest.approx(1e4 * now, abs=1)
        assert lines[0]["expected_e4"] == pytest.approx(1e4 * after.max(axis=1).mean(), abs=30)
        assert lines[0]["gain_e4"] == lines[0]["expected_e4"] - lines[0]["now_e4"]
        assert lines[0]["text"] == "Sulcus scan: 61 in 100 now, about 72 in 100 after it."

    def test_now_is_what_the_plan_shows(self, core: Core) -> None:
        """The chance now is the best length's, digit for digit."""
        asked = json.dumps(records.plan_request(records.whole_eye()))
        plan = json.loads(core("door", "call", asked)["value"])
        line = plan["measure_next"]["lines"][0]
        assert line["now_e4"] == max(length["p_in_e4"] for length in plan["lengths"])

    def test_second_scan_narrows_the_plan(self, core: Core) -> None:
        """What was promised comes: the mean of two scans has a narrower residual, 151 um."""
        scan = {"diameter_um": 11900}
        once = [*records.whole_eye(), records.reading("reading.sulcus_to_sulcus", **scan)]
        twice = [*once, records.reading("reading.sulcus_to_sulcus", seq=2, **scan)]
        line = next(
            one for one in advised(core, once)["lines"] if one["kind"].endswith("sulcus_to_sulcus")
        )
        asked = json.dumps(records.plan_request(twice))
        plan = json.loads(core("door", "call", asked)["value"])
        assert line["what"] == "Sulcus scan, second time"
        # Mean 500 + 550 x 0.2 = 610 um for 12.60 mm.
        middle = plan["lengths"][2]
        variance = 0.75 * (sulcus_model(2)[0] ** 2 + 150.0**2 + (160.0 * 0.2) ** 2)
        assert middle["scale_um"] == round(np.sqrt(variance))

    def test_refraction_by_the_error_budget(self, core: Core) -> None:
        """-10 D: 0.19 D from the refraction; half of its square goes with a second one (worked).

        Vault here 269 um SD (a prior on white-to-white), 0.056 D per 100 um; vertex 0.08, lens
        0.12, depth 0.03, keratometry 0.01 D.
        """
        plain = {"sphere_cD": -1000, "cylinder_cD": 0, "axis_deg": None}
        lines = advised(core, records.whole_eye(refraction=plain))["lines"]
        line = next(one for one in lines if one["kind"] == "reading.refraction")
        vault_d = 0.056 * np.sqrt(0.75 * (233.0**2 + 150.0**2) * 8.0 / 6.0) / 100.0
        other = vault_d**2 + 0.08**2 + 0.12**2 + 0.03**2 + 0.01**2
        assert line["now_cD"] == pytest.approx(196.0 * np.sqrt(0.19**2 + other), abs=1.5)
        assert line["expected_cD"] == pytest.approx(196.0 * np.sqrt(0.19**2 / 2 + other), abs=1.5)

    def test_silent_where_nothing_helps(self, core: Core) -> None:
        """A sulcus scan that suits a length and three refractions: not a word."""
        eye = [*records.whole_eye(), records.reading("reading.sulcus_to_sulcus")]
        eye += [records.reading("reading.refraction", seq=seq) for seq in (2, 3)]
        assert advised(core, eye) == {"lines": [], "not_worth": ""}

    def test_says_what_needs_no_third_time(self, core: Core) -> None:
        """Two agreeing white-to-whites are enough; two that disagree are not said to be."""
        eye = [*records.whole_eye(), records.reading("reading.white_to_white", seq=2)]
        assert advised(core, eye)["not_worth"] == "Not worth another repeat: white-to-white."
        eye[-1] = records.reading("reading.white_to_white", seq=2, diameter_um=12000)
        assert "white-to-white" not in advised(core, eye)["not_worth"]

    def test_nothing_to_say_without_a_plan(self, core: Core) -> None:
        """An eye with readings missing has more pressing wants."""
        eye = records.whole_eye(keratometry=None)
        assert advised(core, eye) == {"lines": [], "not_worth": ""}

    def test_at_most_three(self, core: Core) -> None:
        """Between two lengths four readings might help; the three that help most are said."""
        eye = records.whole_eye(white_to_white={"diameter_um": 11400})
        assert len(advised(core, eye)["lines"]) == 3
