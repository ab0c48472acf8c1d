"""Two surgeons answer at once, a third settles; a reading comes late, a surgeon answers."""

from typing import Any

import pytest

from tests.answered import answers
from tests.flow.test_order import Case
from tests.hospital import Hospital, Phone, plan_of, width_body
from webapp.demo_people import PASSPHRASE
from webapp.flow import casefile, order
from webapp.flow.refusal import Refused
from webapp.records.envelope import digest_of

WIDTH = "reading.white_to_white"


class TwoSurgeons(Case):
    """An eye that a second surgeon gave another length, and what a third may do about it."""

    def __init__(self, hospital: Hospital) -> None:
        super().__init__(hospital)
        self.second = hospital.phone("marsh", "saltpan")
        self.third = hospital.phone("hale", "saltpan")
        self.other = self.approve_longer(self.second)

    def approve_longer(self, phone: Phone) -> str:
        """Approve the recommended power in the next length."""
        lens = plan_of(self.person, "R")["shown"]["lens"]
        other = {**lens, "length_um": 13000 if lens["length_um"] != 13000 else 12500}
        shown = plan_of(self.person, "R", choice=other)["shown"]
        body = phone.approval_body(self.person, "R", self.request)
        body |= {
            "shown": shown,
            "digest": digest_of(shown),
            **answers(shown, "2026-11-25T06:00:00.000Z"),
        }
        return phone.keep("plan.approval", self.person, "R", body)

    def settle(self, phone: Phone, kept: str | None, *decisions: str) -> str:
        """Settle between both approvals, or between those named."""
        named = sorted(decisions or (self.approval, self.other))
        body = {"decisions": named, "kept": kept}
        return phone.keep("decision.settled", self.person, "R", body, reason="It fits better")

    def refused(self, phone: Phone, kind: str, body: dict[str, Any]) -> str:
        """Offer a record and return the code of its refusal."""
        (receipt,) = phone.push(phone.record(kind, self.person, "R", body, reason="A test"))
        assert receipt.reason is not None
        return receipt.reason.code


@pytest.fixture
def two(hospital: Hospital) -> TwoSurgeons:
    """Return an eye with two approvals that differ."""
    return TwoSurgeons(hospital)


class TestSettlement:
    """By a third surgeon, of exactly one lens."""

    def test_nothing_is_ordered_before_it(self, two: TwoSurgeons) -> None:
        """Neither of the two, whoever asks (I9)."""
        # Which of the two the page shows is chance; neither can be ordered.
        refusals = ("order.not_live", "order.not_newest")
        assert two.why_not() in refusals
        assert two.why_not(approval=two.other) in refusals

    @pytest.mark.parametrize("first", [True, False])
    def test_exactly_the_kept_one_is_ordered(self, two: TwoSurgeons, first: bool) -> None:
        """The other is refused before, and the order line is the kept lens."""
        kept, fallen = (two.approval, two.other) if first else (two.other, two.approval)
        two.settle(two.third, kept)
        assert two.why_not(approval=fallen) == "order.not_newest"
        placed = two.place(approval=kept)
        fold = casefile.person_file(two.fenn, two.person).fold["eyes"]["R"]
        assert fold["order"]["id"] == placed
        (approved,) = [one for one in fold["approvals"] if one["id"] == kept]
        assert fold["order"]["lens"] == approved["shown"]["lens"]

    def test_refused_to_whoever_gave_one(self, two: TwoSurgeons) -> None:
        """The server says so at once (I18)."""
        body = {"decisions": sorted([two.approval, two.other]), "kept": two.other}
        assert two.refused(two.second, "decision.settled", body) == "settle.own_decision"
        assert two.state() == "conflict"

    def test_names_only_decisions_of_this_eye(self, two: TwoSurgeons) -> None:
        """A request is no decision; another person's approval is none of this eye."""
        body = {"decisions": sorted([two.approval, two.request]), "kept": None}
        assert two.refused(two.third, "decision.settled", body) == "decision.unknown"
        person = two.camp.register()
        two.camp.measure(person, "R")
        elsewhere = two.surgeon.approve(person, "R", two.camp.send_for_plan(person, "R"))
        body = {"decisions": sorted([two.approval, elsewhere]), "kept": None}
        assert two.refused(two.third, "decision.settled", body) == "decision.other"

    def test_a_decline_is_taken_back_by_whoever_declined(self, two: TwoSurgeons) -> None:
        """And by nobody else."""
        declined = two.third.keep(
            "plan.decline", two.person, "R", {"request": two.request, "text": "Too shallow"}
        )
        body = {"target": declined}
        assert two.refused(two.second, "plan.withdrawal", body) == "target.not_own"
        two.third.keep("plan.withdrawal", two.person, "R", body, reason="I misread it")
        two.settle(two.third, two.approval)
        assert two.state() == "approved"


class Ordered(Case):
    """An ordered eye."""

    def __init__(self, hospital: Hospital) -> None:
        super().__init__(hospital)
        self.third = hospital.phone("hale", "saltpan")
        self.order = self.place()

    def late(self) -> dict[str, Any]:
        """Return what came after the order."""
        fold = casefile.person_file(self.fenn, self.person).fold["eyes"]["R"]
        found: dict[str, Any] = fold["late"]
        return found

    def answer(self, phone: Phone, said: str, *seen: str) -> str:
        """Answer late records."""
        return phone.keep(
            "late.answered", self.person, "R", self._said(said, seen), reason="Weighed"
        )

    def refused(self, phone: Phone, said: str, *seen: str) -> str:
        """Offer an answer to late records and return the code of its refusal."""
        body = self._said(said, seen)
        (receipt,) = phone.push(
            phone.record("late.answered", self.person, "R", body, reason="Weighed")
        )
        assert receipt.reason is not None
        return receipt.reason.code

    def _said(self, said: str, seen: tuple[str, ...]) -> dict[str, Any]:
        return {"order": self.order, "seen": sorted(seen), "answer": said}


@pytest.fixture
def ordered(hospital: Hospital) -> Ordered:
    """Return an ordered eye."""
    return Ordered(hospital)


class TestLate:
    """Answered by a surgeon, undone by the desk."""

    def test_kept_until_something_newer_comes(self, ordered: Ordered) -> None:
        """Each late record asks by itself."""
        first = ordered.camp.keep(WIDTH, ordered.person, "R", width_body(11750))
        assert ordered.late()["blocks"] == 1
        ordered.answer(ordered.third, "keep", first)
        assert ordered.late()["blocks"] == 0
        second = ordered.camp.keep(WIDTH, ordered.person, "R", width_body(11740))
        assert [one["record"] for one in ordered.late()["unanswered"]] == [second]

    def test_cancelled_the_eye_can_be_ordered_again(self, ordered: Ordered) -> None:
        """After the desk's cancellation a new approval leads to a new order."""
        late = ordered.camp.keep(WIDTH, ordered.person, "R", width_body(11750))
        ordered.answer(ordered.surgeon, "plan_again", late)
        assert ordered.late()["next"] == "plan_again"
        order.cancel(ordered.fenn, ordered.order, "The surgeon plans again", PASSPHRASE)
        request = ordered.camp.send_for_plan(ordered.person, "R")
        approval = ordered.surgeon.approve(ordered.person, "R", request)
        assert ordered.place(approval=approval) != ordered.order

    @pytest.mark.parametrize("said", ["keep", "cancel"])
    def test_of_records_that_are_here(self, ordered: Ordered, said: str) -> None:
        """An answer to something the base has not received is kept apart until it has."""
        assert ordered.refused(ordered.third, said, "9" * 64) == "seen.unknown"
        assert ordered.late()["answers"] == []

    def test_of_records_of_this_eye_and_person(self, ordered: Ordered) -> None:
        """What was read of the other eye, or of somebody else, was not what came late."""
        other_eye = ordered.camp.keep(WIDTH, ordered.person, "L", width_body(11750))
        somebody = ordered.camp.register(name="Ines Corvane")
        other_person = ordered.camp.keep(WIDTH, somebody, "R", width_body(11750))
        for record_id in (other_eye, other_person):
            assert ordered.refused(ordered.third, "keep", record_id) == "seen.other"
        assert ordered.late()["answers"] == []

    def test_nobody_keeps_it_against_their_own_reading(self, ordered: Ordered) -> None:
        """A surgeon who measured late leaves the answer to another."""
        own = ordered.third.keep(WIDTH, ordered.person, "R", width_body(11750))
        assert ordered.refused(ordered.third, "keep", own) == "late.own_record"
        assert ordered.late()["blocks"] == 1

    def test_an_order_withdrawn_from_is_not_ordered_twice(self, ordered: Ordered) -> None:
        """The approval is taken back after the order: the order stands, a surgeon answers."""
        body = {"target": ordered.approval}
        ordered.surgeon.keep("plan.withdrawal", ordered.person, "R", body, reason="Second thoughts")
        assert [one["code"] for one in ordered.late()["unanswered"]] == ["withdrawn"]
        with pytest.raises(Refused) as refused:
            order.place(ordered.fenn, ordered.person, "R", "f" * 64, PASSPHRASE)
        assert refused.value.code == "order.not_newest"
