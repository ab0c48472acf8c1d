"""Results over many eyes: bands and changes counted by hand, intervals and sums by other ways."""

import random
import statistics

import pytest
from statsmodels.stats.proportion import proportion_confint

from webapp.audit import results
from webapp.audit.results import Outcome

EDGES = (100, 250, 750, 1000)
NOBODY: list[Outcome] = []


def eyes(*vaults_um: int | None) -> list[Outcome]:
    """Return a lens of the right eye of another person for each vault, a day apart."""
    return [
        Outcome(f"p{place:03}", "R", f"2026-01-{place + 1:02}", vault_um)
        for place, vault_um in enumerate(vaults_um)
    ]


class TestFirstOfEach:
    """One eye of each person."""

    def test_the_earlier_surgery(self) -> None:
        """Whichever eye it was; of two on one day the right one."""
        left = Outcome("a", "L", "2026-01-02", 300)
        right = Outcome("a", "R", "2026-01-05", 800)
        both = [Outcome("b", "L", "2026-01-03", 200), Outcome("b", "R", "2026-01-03", 400)]
        assert results.first_of_each([right, left, *both]) == [left, both[1]]

    def test_is_not_the_one_that_was_read(self) -> None:
        """Choosing whichever eye was read would favour those who came back with it."""
        first = Outcome("a", "L", "2026-01-02")
        assert results.first_of_each([first, Outcome("a", "R", "2026-01-05", 800)]) == [first]


class TestVaults:
    """Bands and the share inside the window."""

    def test_each_band_has_its_ends(self) -> None:
        """Counted by hand: the window holds 250 and 750, very high begins after 1000."""
        found = results.vaults(eyes(0, 99, 100, 249, 250, 750, 751, 1000, 1001, None), EDGES)
        assert found.bands == [2, 2, 2, 2, 1]
        assert found.inside == (2, 9, None)
        assert found.quartiles_um is None

    def test_ten_people_have_an_interval(self) -> None:
        """Wilson's interval of statsmodels; 5 of 10 is 24 to 76 in 100."""
        found = results.vaults(eyes(*[500] * 5, *[900] * 5), EDGES)
        low, high = proportion_confint(5, 10, method="wilson")
        assert found.inside[:2] == (5, 10)
        assert found.inside.interval == pytest.approx((low, high), abs=1e-9)
        assert (round(100 * low), round(100 * high)) == (24, 76)
        assert found.quartiles_um == (500.0, 700.0, 900.0)

    def test_both_eyes_of_a_person_count_once(self) -> None:
        """Ten lenses of five people are five."""
        mine = [one._replace(eye="L", operated="2026-03-01") for one in eyes(*[500] * 5)]
        found = results.vaults([*eyes(*[500] * 5), *mine], EDGES)
        assert found.bands[2] == 10
        assert found.inside == (5, 5, None)
        assert found.quartiles_um is None


class TestDrift:
    """The running sum of vaults outside the window."""

    def test_too_few(self) -> None:
        """Nothing is drawn of nine people, or of nobody."""
        assert results.drift(eyes(*[900] * 9), EDGES) is None
        assert results.drift(NOBODY, EDGES) is None

    def test_by_hand(self) -> None:
        """Outside adds ln 2 = 0.6931, inside takes ln 1.5 = 0.4055 off and never below 0."""
        found = results.drift(eyes(500, 900, 900, 500, *[900] * 4, 500, 500), EDGES)
        assert found is not None
        assert found.events == [0, 1, 1, 0, 1, 1, 1, 1, 0, 0]
        path = [0, 0.6931, 1.3863, 0.9808, 1.6740, 2.3671, 3.0603, 0.6931, 0.2877, 0]
        assert found.chart.path == pytest.approx(path, abs=1e-3)
        assert found.chart.signals == [6]

    @pytest.mark.parametrize(("share", "least", "most"), [(0.25, 150, 260), (0.5, 14, 22)])
    def test_its_limit_means_what_the_page_says(self, share: float, least: int, most: int) -> None:
        """About 200 eyes to a signal without a cause, about 18 with twice the share (simulated)."""
        drawn = random.Random(7)  # noqa: S311 - a simulation
        lengths = [eyes_to_signal(drawn, share) for _ in range(600)]
        assert least < statistics.mean(lengths) < most


def eyes_to_signal(drawn: random.Random, share: float) -> int:
    """Return how many eyes pass until the sum reaches its limit, counted in its own loop."""
    total, count = 0.0, 0
    while total < results.SIGNAL:
        count += 1
        total = max(0.0, total + (0.693147 if drawn.random() < share else -0.405465))
    return count


class TestAcuity:
    """Change of corrected acuity, and both indices."""

    def test_lines_are_counted(self) -> None:
        """Two lines are 0.2 logMAR: a change of just that counts as lost or gained."""
        pairs = ((0.0, 0.2), (0.0, 0.19), (0.3, 0.1), (0.1, 0.1), (None, 0.1), (0.1, None))
        found = results.acuity([
            Outcome(f"p{place}", "R", "2026-01-01", None, None, before, after)
            for place, (before, after) in enumerate(pairs)
        ])  # fmt: skip
        assert (found.lost, found.kept, found.gained) == (1, 2, 1)
        assert (found.safety, found.efficacy, found.efficacy_people) == (None, None, 0)

    def test_indices_of_ten(self) -> None:
        """Decimal 1.0 before; 1.25 corrected and 0.8 uncorrected after (logMAR -0.0969, 0.0969)."""
        found = results.acuity([
            Outcome(f"p{place}", "R", "2026-01-01", None, None, 0.0, -0.09691, 0.09691)
            for place in range(10)
        ])  # fmt: skip
        assert found.safety == pytest.approx(1.25, abs=1e-4)
        assert found.efficacy == pytest.approx(0.8, abs=1e-4)

    def test_each_index_needs_people_of_its_own(self) -> None:
        """Of ten read with glasses and nine without there is no efficacy, though a safety."""
        found = results.acuity([
            Outcome(f"p{place}", "R", "2026-01-01", None, None, 0.0, 0.0, 0.1 if place else None)
            for place in range(10)
        ])  # fmt: skip
        assert found.safety == pytest.approx(1.0)
        assert (found.efficacy, found.efficacy_people) == (None, 9)


def test_astigmatism_of_few_and_of_ten() -> None:
    """The mean of points on a square about (0.5, 0) is its middle; of nine people there is none."""
    corners = [(0.0, 0.5), (1.0, 0.5), (0.0, -0.5), (1.0, -0.5), (0.5, 0.0)] * 2
    found = [
        one._replace(astigmatism_d=at) for one, at in zip(eyes(*[None] * 10), corners, strict=True)
    ]
    people, centroid = results.astigmatism(found)
    assert people == 10
    assert centroid is not None
    assert centroid.centre_d == pytest.approx((0.5, 0.0))
    assert results.astigmatism(found[:9]) == (9, None)
