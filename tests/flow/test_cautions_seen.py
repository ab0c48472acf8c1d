"""Cautions acknowledged nearly always are for review: more than 90 of 100, over 50 eyes."""

import pytest

from tests.desk.conftest import ReadyCase, case
from tests.hospital import READINGS, WALL, Hospital
from webapp.flow import cautions_seen
from webapp.flow.cautions_seen import Answer
from webapp.flow.refusal import Refused

__all__ = ["case"]

SHOWN = {
    "findings": [
        {"code": "D07.large", "level": "caution"},
        {"code": "D01.young", "level": "stop"},
        {"code": "D32.alike", "level": "note"},
    ]
}


def answers(approved: int, declined: int) -> list[Answer]:
    """Return answers about so many eyes, all of which had the caution."""
    seen = frozenset({"D07.large"})
    return [
        Answer((str(number), "R"), "", SHOWN, seen if number < approved else frozenset())
        for number in range(approved + declined)
    ]


class TestCounting:
    """By hand."""

    @pytest.mark.parametrize(
        ("approved", "declined", "for_review"),
        [(46, 4, True), (45, 5, False), (49, 0, False), (50, 0, True), (91, 9, True),
         (90, 10, False)],
    )  # fmt: skip
    def test_for_review(self, approved: int, declined: int, for_review: bool) -> None:
        """46 of 50 are 92 in 100; 45 of 50 are just 90; 49 of 49 are too few to say."""
        (line,) = cautions_seen.counted(answers(approved, declined))
        assert (line.cases, line.acknowledged) == (approved + declined, approved)
        assert line.for_review is for_review

    def test_an_eye_counts_once(self) -> None:
        """Asked about, then approved, then approved again: one eye, acknowledged."""
        seen = frozenset({"D07.large"})
        same = [Answer(("p", "R"), "", SHOWN, codes) for codes in (frozenset[str](), seen, seen)]
        (line,) = cautions_seen.counted(same)
        assert (line.cases, line.acknowledged) == (1, 1)

    def test_both_eyes_count(self) -> None:
        """Right and left of one person are two."""
        both = [Answer(("p", eye), "", SHOWN, frozenset()) for eye in ("R", "L")]
        assert cautions_seen.counted(both)[0].cases == 2


class TestListing:
    """From the records of a hospital."""

    def test_of_an_approval(self, hospital: Hospital, case: ReadyCase) -> None:
        """The cautions of the one approved plan, each acknowledged, in the words of its rule."""
        lines = cautions_seen.listing(hospital.actor("birch"))
        assert [(line.code, line.title, line.cases, line.acknowledged) for line in lines] == [
            ("D02.no_earlier", "Stability not shown", 1, 1),
            ("D32.vault", "Vault uncertain", 1, 1),
        ]

    def test_of_a_decline(self, hospital: Hospital, case: ReadyCase) -> None:
        """What was declined had the cautions of its request, and acknowledged none."""
        person = case.camp.register(name="Tove Brandal", birth_year=1988, phone=None)
        case.camp.measure(person, "R")
        request = case.camp.send_for_plan(person, "R")
        body = {"request": request, "text": "The cornea has to be mapped first."}
        case.surgeon.keep("plan.decline", person, "R", body)
        lines = cautions_seen.listing(hospital.actor("birch"))
        assert [(line.cases, line.acknowledged) for line in lines] == [(2, 1), (2, 1)]

    def test_of_two_eyes(self, hospital: Hospital, case: ReadyCase) -> None:
        """A caution that compares both eyes has its words too, though a plan is of one."""
        person = case.camp.register(name="Tove Brandal", birth_year=1988, phone=None)
        case.camp.measure(person, "R")
        far = {**READINGS["reading.white_to_white"], "diameter_um": 12400}
        case.camp.keep("reading.white_to_white", person, "L", {**far, "taken": WALL, "typed": {}})
        request = case.camp.send_for_plan(person, "R")
        case.surgeon.approve(person, "R", request)
        titles = {line.code: line.title for line in cautions_seen.listing(hospital.actor("birch"))}
        assert titles["D15.white_to_white"] == "The eyes differ: white-to-white"

    def test_is_the_auditors(self, hospital: Hospital) -> None:
        """Nobody else reads over all sites."""
        with pytest.raises(Refused, match="needs the role auditor"):
            cautions_seen.listing(hospital.actor("fenn"))
