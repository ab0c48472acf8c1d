"""Eyes, lenses, moments and states in words. Expected sentences are written by hand."""

from datetime import UTC, date, datetime

import pytest

from webapp.desk import eyes, lens_words, moments, readings, states
from webapp.flow import worklist
from webapp.records.kinds import KINDS

LENS = {
    "model": "Model A-t", "sphere_cD": -975, "cylinder_cD": -250, "axis_deg": 15,
    "length_um": 12500,
}  # fmt: skip


class TestLens:
    """A lens for the eye and for the ear."""

    def test_line(self) -> None:
        """Signs are written, and the unit never parts from its number."""
        assert lens_words.lens_line(LENS) == "−9.75 −2.50 × 15, 12.50\N{NO-BREAK SPACE}mm"

    def test_sentence_names_eye_sign_and_unit(self) -> None:
        """The read-back has every value with its sign as a word."""
        assert lens_words.lens_sentence("R", LENS) == (
            "Right eye: Model A-t, sphere minus 9.75 dioptres, cylinder minus 2.50 dioptres at "
            "axis 15, length 12.50 millimetres."
        )

    def test_no_cylinder_is_said(self) -> None:
        """A spherical lens has no axis and says that it has no cylinder."""
        lens = {**LENS, "sphere_cD": 300, "cylinder_cD": 0, "axis_deg": None}
        assert lens_words.lens_sentence("L", lens) == (
            "Left eye: Model A-t, sphere plus 3.00 dioptres, no cylinder, length 12.50 millimetres."
        )
        assert lens_words.refraction_line(lens) == "+3.00 sphere"

    def test_no_eye_is_assumed(self) -> None:
        """A code that is neither eye is refused."""
        with pytest.raises(KeyError):
            eyes.eye_of("B")


class TestMoments:
    """Instants and ages."""

    def test_moment_says_that_it_is_utc(self) -> None:
        """An instant with an offset is shown in UTC, and says so."""
        assert moments.moment("2026-11-25T10:15:12.120+05:30") == "25 Nov 2026, 04:45 UTC"

    @pytest.mark.parametrize(
        ("instant", "text"),
        [
            ("2026-11-25T04:40:00.000Z", "5 min"),
            ("2026-11-24T23:44:00.000Z", "5 h"),
            ("2026-11-23T04:45:00.000Z", "2 days"),
            ("2026-11-24T04:45:00.000Z", "1 day"),
            ("2026-11-25T05:45:00.000Z", "clock ahead"),
            (None, "never"),
        ],
    )
    def test_elapsed(self, instant: str | None, text: str) -> None:
        """The largest whole unit; a clock that runs ahead is said and not hidden."""
        until = datetime(2026, 11, 25, 4, 45, tzinfo=UTC)
        assert moments.elapsed(instant, until) == text

    def test_age_of_a_date_counts_birthdays(self) -> None:
        """The day before the birthday is still the lower age."""
        assert moments.age_years("1999-02-09", None, date(2026, 2, 8)) == "26"
        assert moments.age_years("1999-02-09", None, date(2026, 2, 9)) == "27"

    def test_age_of_a_year_is_both_it_can_be(self) -> None:
        """From a year alone the age is not known better than to two years."""
        assert moments.age_years(None, 1994, date(2026, 11, 25)) == "31–32"


class TestReadings:
    """Readings with their plane, surface, unit and method."""

    def test_every_reading_kind_has_words(self) -> None:
        """Each kind of reading in the closed list is shown, none is left out."""
        kinds = {name for name in KINDS if name.startswith("reading.")}
        assert kinds == set(readings.TITLES) >= set(readings.VALUES)
        assert set(readings.SHORTER) <= kinds

    def test_a_kind_without_a_line_of_its_own_is_worded_by_the_list(self) -> None:
        """Label, value, unit and choice come from the closed list; the instrument stands apart."""
        body = {
            "values": "kmax_is", "kmax_cD": 4680, "is_cD": 120, "map_grade": "not_given",
            "device_flag": "none", "device": "Tomograph 1", "taken": "", "typed": {},
        }  # fmt: skip
        words = readings.value_of("reading.tomography", body).text
        assert "46.80 D" in words and "1.20 D" in words
        assert "Tomograph" not in words
        old = readings.value_of("reading.tomography", {**body, "made_on": "2024-03-01"}).text
        assert old == f"{words}; Day the map was made: 1 Mar 2024"

    def test_what_is_no_reading_is_not_shown_as_one(self) -> None:
        """A plan, or a kind that nobody knows, is refused."""
        for kind in ("plan.request", "reading.nothing"):
            with pytest.raises(KeyError):
                readings.value_of(kind, {})

    def test_keratometry_in_the_unit_it_was_read_in(self) -> None:
        """Millimetres stay millimetres."""
        body = {
            "unit": "mm", "flat_radius_um": 7940, "steep_radius_um": 7580, "flat_cD": None,
            "steep_cD": None, "steep_meridian_deg": 100,
        }  # fmt: skip
        assert readings.value_of("reading.keratometry", body) == (
            "7.94 / 7.58", "mm", "steep at 100°",
        )  # fmt: skip

    def test_a_refraction_says_its_plane(self) -> None:
        """At the glasses with the vertex, or at the cornea."""
        body = {
            "sphere_cD": -825, "cylinder_cD": -525, "axis_deg": 180, "plane": "corneal",
            "vertex_um": None, "method": "manifest",
        }  # fmt: skip
        assert readings.value_of("reading.refraction", body) == (
            "−8.25 −5.25 × 180", "D", "manifest, at the cornea",
        )  # fmt: skip


class TestNextStep:
    """What happens next, and by whom."""

    @pytest.mark.parametrize(
        ("right", "left", "text", "is_ours"),
        [
            ("approved", "measuring", "Place order, right eye.", True),
            ("measuring", "approved", "Place order, left eye.", True),
            ("approved", "approved", "Place both orders.", True),
            ("approved", "stale", "Review the left eye again.", False),
            ("declined", "declined", "Nothing more for the right eye.", False),
        ],
    )
    def test_the_more_pressing_eye_comes_first(
        self, right: str, left: str, text: str, is_ours: bool
    ) -> None:
        """A stale approval goes before an order, an order before everything quieter."""
        step = states.next_step({"R": {"state": right}, "L": {"state": left}})
        assert (step.text, step.is_ours) == (text, is_ours)

    def test_a_stop_after_surgery_goes_before_everything(self) -> None:
        """A very high vault is not told as "Followed" (E1); the note says it too."""
        high = {"state": "followed", "stop_after": "Vault very high"}
        step = states.next_step({"R": high, "L": {"state": "approved"}})
        assert (step.text, step.whom) == ("Look at the right eye: Vault very high.", "Surgeon")
        assert states.eye_note(high) == "Stop: Vault very high"

    def test_every_state_of_a_case_is_shown(self) -> None:
        """The stream and the row beside it hold each state of the worklist once."""
        assert sorted(states.STATES) == sorted(worklist.STATES)
        assert sorted(states.PRESSING) == sorted(worklist.STATES)
