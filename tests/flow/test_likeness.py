"""Who may be the same person: sounds of names, births, phones, corneas; and what stops an order."""

import pytest

from tests.flow.test_order import Case
from tests.hospital import WALL, Hospital, Phone, person_body
from webapp.demo_people import PASSPHRASE
from webapp.flow import duplicates, order
from webapp.flow.likeness import HIGH, SHOWN, Known, likeness, plain, soundex

# U.S. National Archives, "The Soundex Indexing System" (from memory): the worked examples there.
PUBLISHED = {
    "Washington": "W252", "Lee": "L000", "Gutierrez": "G362", "Pfister": "P236",
    "Jackson": "J250", "Tymczak": "T522", "VanDeusen": "V532", "Ashcraft": "A261",
}  # fmt: skip


@pytest.mark.parametrize(("name", "code"), PUBLISHED.items())
def test_soundex_as_published(name: str, code: str) -> None:
    """The worked examples of the National Archives."""
    assert soundex(name) == code


def test_soundex_knows_latin_letters_only() -> None:
    """Another script has no code, so it is never said to sound alike."""
    assert soundex("نورا") == ""


def known(person: str = "a", **changed: object) -> Known:
    """Return an invented person."""
    return Known(person, "saltpan", person_body(**changed), {"R": {}, "L": {}})


class TestPoints:
    """Which pairs reach the points at which an order stops."""

    @pytest.mark.parametrize(
        ("changed", "points"),
        [
            ({"camp_code": "UG-1"}, 95),
            ({"name": "Orla Fenimore", "camp_code": "UG-1"}, 85),
            ({"name": "Fennimore Orla", "birth_year": 1997, "village": "Elsewhere"}, 78),
            ({"name": "ORLA FÉNNIMORE", "phone": None}, 65),
        ],
        ids=["all the same", "sounds alike", "next year", "accent and case"],
    )
    def test_the_same_person_written_differently(
        self, changed: dict[str, object], points: int
    ) -> None:
        """A slip of the pen at the second camp; points added by hand from the table of weights."""
        assert likeness(known(), known("b", **changed)).points == points >= HIGH

    def test_a_namesake_of_one_age_is_shown_and_stops_nothing(self) -> None:
        """Name 40, year 15, nothing else."""
        alike = likeness(known(), known("b", village="Elsewhere", phone=None))
        assert alike.points == 55
        assert SHOWN <= alike.points < HIGH

    @pytest.mark.parametrize(
        "changed",
        [
            {"name": "Berit Fennimore", "birth_year": 1998},
            {"name": "Orla Haddow", "birth_year": 1971},
            {"birth_year": 1971, "village": "Elsewhere", "phone": None},
        ],
        ids=["sister", "neighbour", "namesake"],
    )
    def test_others_stay_below(self, changed: dict[str, object]) -> None:
        """Relatives with one phone, neighbours, a namesake of another age."""
        assert likeness(known(), known("b", **changed)).points < HIGH

    def test_corneas_speak_for_and_against(self) -> None:
        """The same curvature and width add, another curvature takes away."""
        cornea = {"R": {"k_cD": 4360, "width_um": 11700}, "L": {}}
        other = {"R": {"k_cD": 4600, "width_um": 11700}, "L": {}}
        one = known()._replace(eyes=cornea)
        # By name and year alone 55 points, as above.
        namesake = known("b", village="Elsewhere", phone=None)
        same, far = (likeness(one, namesake._replace(eyes=eyes)) for eyes in (cornea, other))
        assert (same.points, far.points) == (55 + 20, 55 - 30)
        assert "corneas of another curvature" in far.reasons

    def test_words_of_a_name_in_any_order(self) -> None:
        """Family name first or last."""
        assert plain("Fennimore, Orla") == plain("Órla fennimore")


class Twice(Case):
    """A person who was registered at another camp too, by a phone that knew nothing of it."""

    def __init__(self, hospital: Hospital) -> None:
        super().__init__(hospital)
        self.elsewhere = hospital.phone("quill", "upper-glen")
        self.other = self.elsewhere.register()

    def doubles(self) -> list[duplicates.Double]:
        """Return who may be the same person."""
        return duplicates.of_person(self.person)


@pytest.fixture
def twice(hospital: Hospital) -> Twice:
    """Return a person registered at two camps."""
    return Twice(hospital)


class TestOrder:
    """An unanswered likeness stops the order (H03)."""

    def test_is_refused_until_somebody_has_compared(self, twice: Twice) -> None:
        """With the camp and the reasons, and without the other camp's patient's name."""
        (double,) = twice.doubles()
        assert (double.other, double.site) == (twice.other, "upper-glen")
        assert twice.why_not() == "order.possible_duplicate"
        said = [one.text for one in order.conditions(twice.fenn, twice.person, "R") if not one.ok]
        assert len(said) == 1
        assert "Upper Glen camp" in said[0]
        assert "Orla" not in said[0]

    def test_two_people_are_ordered_for(self, twice: Twice) -> None:
        """Said at the desk with the passphrase."""
        duplicates.answer(twice.fenn, twice.person, twice.other, "different", PASSPHRASE)
        assert twice.place()

    def test_answered_on_a_phone_of_the_other_camp(self, twice: Twice) -> None:
        """Whichever side it is said on."""
        body = {"other": twice.person, "answer": "different"}
        twice.elsewhere.keep("person.compared", twice.other, None, body)
        assert twice.place()

    def test_the_same_person_stays_stopped(self, twice: Twice) -> None:
        """And outweighs a "different" of somebody else, until it is withdrawn."""
        duplicates.answer(twice.fenn, twice.person, twice.other, "different", PASSPHRASE)
        body = {"other": twice.person, "answer": "same"}
        said = twice.elsewhere.keep("person.compared", twice.other, None, body)
        assert twice.why_not() == "order.possible_duplicate"
        twice.elsewhere.keep(
            "record.void", twice.other, None, {"target": said}, reason="Two sisters after all"
        )
        assert twice.place()

    def test_another_cornea_speaks_against_it(self, twice: Twice) -> None:
        """Name 40, year 15, village 10, phone 30, curvature -30: still to be looked at."""
        steep = {
            "unit": "D", "flat_cD": 4600, "steep_cD": 4650, "flat_radius_um": None,
            "steep_radius_um": None, "steep_meridian_deg": 90, "device": "Keratometer",
            "taken": WALL, "typed": {},
        }  # fmt: skip
        assert [one.points for one in twice.doubles()] == [95]
        twice.elsewhere.keep("reading.keratometry", twice.other, "R", steep)
        (double,) = twice.doubles()
        assert double.points == 65
        assert "corneas of another curvature" in double.reasons

    def test_of_somebody_who_is_registered(self, twice: Twice) -> None:
        """A comparison with a person whom nobody knows is kept apart."""
        phone: Phone = twice.elsewhere
        body = {"other": "0193a5c0-0000-7000-8000-00000000dead", "answer": "different"}
        (receipt,) = phone.push(phone.record("person.compared", twice.other, None, body))
        assert receipt.reason is not None
        assert receipt.reason.code == "compared.unknown"
