"""The calibration run itself: its draws are what it says, and a smaller run keeps its promises."""

from collections.abc import Callable
from random import Random

import numpy as np
import pytest
from scipy import stats

from tests.calibration import charts, run, tally, truth, ways
from tests.calibration.tally import Seen

CENTRES, PEOPLE, SEED = 16, 6, 20261129
DRAWS = 20_000
CENTRE = truth.Centre(0.0, truth.MEAN_SLOPE_UM_PER_MM, 0.0, 0.0)


@pytest.fixture(scope="module")
def made() -> run.Run:
    """Return a small run in the published world."""
    return run.found_in(truth.PUBLISHED, SEED, CENTRES, PEOPLE)


@pytest.fixture(scope="module")
def found(made: run.Run) -> run.Found:
    """Return what each way chose in it."""
    return made.found


def of(found: run.Found, letter: str) -> list[Seen]:
    """Return the eyes of the one way that a letter names."""
    (seen,) = [seen for way, seen in found.items() if way.split()[0] == letter]
    return seen


def part(seen: list[Seen], holds: Callable[[Seen], bool]) -> float:
    """Return the share of eyes for which something holds."""
    return sum(map(holds, seen)) / len(seen)


class TestDraws:
    """Means, spreads and correlations of 20,000 drawn people, by numpy and scipy."""

    def test_own_errors_of_two_eyes(self) -> None:
        """SD as stated, correlation 0.7, tails heavier than the normal's."""
        rng = Random(1)  # noqa: S311 - repeatable, no secret
        pairs = np.array([truth.heavy_pair(rng, 0.7, 5.0) for _ in range(DRAWS)])
        assert np.std(pairs) == pytest.approx(1.0, abs=0.03)
        assert np.corrcoef(pairs.T)[0, 1] == pytest.approx(0.7, abs=0.03)
        assert stats.kstest(pairs[:, 0] / np.sqrt(3.0 / 5.0), stats.t(5).cdf).pvalue > 0.01
        assert stats.kurtosis(pairs[:, 0]) > 2.0

    @pytest.mark.parametrize("world", truth.WORLDS, ids=lambda world: world.name)
    def test_spread_about_what_was_measured(self, world: truth.World) -> None:
        """176 um about one scan as published, or about the true sulcus; more about the limbus."""
        rng = Random(2)  # noqa: S311 - repeatable, no secret
        left: dict[str, list[float]] = {"scan": [], "sulcus": [], "white": []}
        for _ in range(DRAWS):
            eye = truth.eyes(rng, world)[0]
            vault_um = truth.unbounded_um(CENTRE, eye, 12600)
            for name, diameter_um, over_mm in (
                ("scan", truth.scan_um(rng, world, CENTRE, eye), 0.5),
                ("sulcus", 1e3 * eye.sulcus_mm, 0.5),
                ("white", truth.white_um(rng, world, CENTRE, eye), 0.98),
            ):
                left[name].append(vault_um - 500.0 - 565.0 * (12.6 - diameter_um / 1e3 - over_mm))
        about = "scan" if world.scan_in_it else "sulcus"
        assert np.std(left[about]) == pytest.approx(176.0, abs=5.0)
        spread = np.hypot(np.std(left["sulcus"]), 565.0 * world.wider_sd_mm)
        assert np.std(left["white"]) == pytest.approx(spread, rel=0.03)

    def test_a_week_lies_13_um_below_the_end(self) -> None:
        """517 um at a week, 530 at a month (83 eyes, abstract read)."""
        rng = Random(3)  # noqa: S311 - repeatable, no secret
        seen = [truth.seen_vault_um(rng, 530.0, 7) for _ in range(DRAWS)]
        assert np.mean(seen) == pytest.approx(517.0, abs=1.0)


class TestHarness:
    """Where the truth is drawn from the prior itself, the interval must hold 95 in 100."""

    EYES = 400

    def drawn(self, wider: float = 1.0) -> list[Seen]:
        """Return eyes whose truth comes from the default prior's own numbers, written out.

        Args:
            wider: by how much the true error is wider than the prior believes.
        """
        numbers = np.random.default_rng(7)
        rng = Random(7)  # noqa: S311 - repeatable, no secret
        seen = []
        for _ in range(self.EYES):
            person = charts.drawn(rng, truth.PUBLISHED, CENTRE)
            chosen = ways.planned(person.entries)
            error_um = np.sqrt(3.0 * 233.0**2 / numbers.gamma(4.0))
            one, slope = error_um / 233.0 * numbers.normal(0.0, (150.0, 160.0))
            excess_mm = (chosen.length_um - person.second_white_um) / 1e3 - 0.98
            line_um = 500.0 + one + (550.0 + slope) * excess_mm
            seen.append(Seen(0, chosen, line_um + wider * numbers.normal(0.0, error_um)))
        return seen

    def test_holds_what_it_promises(self) -> None:
        """Within three standard errors of 95 in 100, and the window as often as was said."""
        seen = self.drawn()
        assert part(seen, tally.is_covered) == pytest.approx(0.95, abs=0.033)
        said = np.mean([one.chosen.said["p_in_e4"] / 1e4 for one in seen if one.chosen.said])
        assert part(seen, tally.is_inside) == pytest.approx(said, abs=0.075)

    def test_sees_a_promise_that_is_not_kept(self) -> None:
        """An error half as wide again as believed leaves the interval too often."""
        assert part(self.drawn(wider=1.5), tally.is_covered) < 0.917


class TestSmallerRun:
    """A hundred eyes: three standard errors are 7 in 100 for an interval, 14 for the window."""

    def test_same_seed_same_answer(self) -> None:
        """Digit for digit, in every line that is printed."""
        twice = [
            list(run.report(truth.HARDER, run.found_in(truth.HARDER, 5, 2, 2))) for _ in range(2)
        ]
        assert twice[0] == twice[1]

    def test_same_eyes_for_every_way(self, found: run.Found) -> None:
        """Where two ways choose the same length the same vault becomes of it."""
        assert {len(seen) for seen in found.values()} == {CENTRES * PEOPLE}
        both = list(zip(of(found, "a'"), of(found, "b"), strict=True))
        alike = [pair for pair in both if pair[0].chosen.length_um == pair[1].chosen.length_um]
        assert alike
        assert all(one.vault_um == other.vault_um for one, other in alike)

    @pytest.mark.parametrize("letter", ["b", "d", "d'", "e"])
    def test_intervals_are_kept(self, found: run.Found, letter: str) -> None:
        """The world is not the prior's, so a little less than 95 in 100 is allowed."""
        assert part(of(found, letter), tally.is_covered) >= 0.87

    def test_every_number_of_own_eyes(self, found: run.Found) -> None:
        """Three rows, each of which keeps its intervals, all narrower than the prior's."""
        rows = [seen for way, seen in found.items() if way.startswith("c ")]
        assert [part(seen, tally.is_covered) >= 0.87 for seen in rows] == [True] * 3
        widths = [float(tally.width_um(seen)) for seen in rows]
        assert max(widths) < float(tally.width_um(of(found, "b")))

    def test_rule_of_thumb_does_as_published(self, found: run.Found) -> None:
        """70 in 100 in the window by white-to-white (107 eyes, abstract read), here 60 to 80."""
        assert part(of(found, "a'"), tally.is_inside) == pytest.approx(0.70, abs=0.14)

    def test_what_is_known_helps(self, found: run.Found) -> None:
        """Own eyes, the first eye and measuring more each beat the rule of thumb."""
        thumb = part(of(found, "a'"), tally.is_inside)
        for letter in ("d", "d'", "e"):
            assert part(of(found, letter), tally.is_inside) > thumb

    def test_measuring_takes_readings(self, found: run.Found) -> None:
        """No eye more than three, some eyes none, most eyes one at least."""
        taken = [one.chosen.further for one in of(found, "e")]
        assert max(taken) <= ways.MOST_FURTHER
        assert np.mean(taken) > 0.5


class TestTables:
    """What is printed."""

    def test_cautions_are_counted_once_each(self, found: run.Found) -> None:
        """Every row that has a plan adds up to all candidates."""
        rows = tally.caution_table(found)[1:]
        assert len(rows) == len(found) - 2
        for row in rows:
            counts = [float(cell) for cell in row[46:].split()[:5]]
            assert sum(counts) == pytest.approx(100.0, abs=0.3)

    def test_limits_flag_fewer_as_they_rise(self, found: run.Found) -> None:
        """The first line is the limit in force: it flags as many as the plans did for it."""
        seen = of(found, "b")
        flagged = [float(line.split()[1]) for line in tally.limit_table(seen)[1:]]
        assert flagged == sorted(flagged, reverse=True)
        because = [
            "would have a vault below 100" in text
            for one in seen
            for code, text in one.chosen.cautions
            if code == "D32.vault"
        ]
        assert flagged[0] == pytest.approx(100 * sum(because) / len(seen), abs=1.1)

    def test_names_every_way(self, made: run.Run) -> None:
        """Each way has its line, in one run."""
        text = "\n".join(run.report(truth.PUBLISHED, made))
        assert all(text.count(way) >= 1 for way in made.found)
        assert " ".join(way[0] for way in made.found) == "a a b c c c d d e"

    def test_alike_about_zero(self) -> None:
        """Two eyes that miss by the same are alike whatever the mean; opposite ones are not."""
        assert tally.alike({"x": [(100.0, 100.0), (90.0, 90.0)]}) == "x 1.00"
        assert tally.alike({"x": [(100.0, -100.0), (-50.0, 50.0)]}) == "x -1.00"
