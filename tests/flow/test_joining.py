"""Joining two registrations at the base: who may, what the eye is then, and undoing it (I17)."""

import json

import pytest

from tests.flow.surgeries import surgery
from tests.flow.test_order import Case
from tests.hospital import Hospital, person_body, width_body
from webapp.demo_people import PASSPHRASE
from webapp.flow import casefile, desk_record, duplicates, joining, order, worklist
from webapp.flow.actor import Actor, RoleAt
from webapp.flow.desk_record import Draft
from webapp.flow.refusal import NotFound, Refused
from webapp.records.draft import Correction, Subject
from webapp.store import audit_log, database, journal
from webapp.store.projections import joins

WIDTH = "reading.white_to_white"
WHY = "The same card and the same scar"


class Pair(Case):
    """An approved eye at one camp, and the same person registered at another one later on."""

    def __init__(self, hospital: Hospital) -> None:
        super().__init__(hospital)
        self.elsewhere = hospital.phone("quill", "upper-glen")
        self.surgeon_there = hospital.phone("verrill", "upper-glen")
        self.other = "0193a5c1-0000-7000-8000-000000000001"
        self.elsewhere.keep("person.registered", self.other, None, person_body())
        self.hale = hospital.actor("hale")

    def compare(self) -> str:
        """Say at the other camp that it is the same person."""
        body = {"other": self.person, "answer": "same"}
        return self.elsewhere.keep("person.compared", self.other, None, body)

    def join(self, actor: Actor | None = None) -> None:
        """Join them at the desk after a judgement."""
        self.compare()
        joining.join(actor or self.fenn, self.person, self.other, WHY, PASSPHRASE)

    def separate(self) -> None:
        """Separate them at the desk."""
        (record, *_) = [one.record for one in joins.touching(self.person)]
        if joining.separation(self.hale, record) is None:
            joining.propose_separation(self.hale, record, "Two cousins", PASSPHRASE)
        joining.confirm_separation(self.fenn, record, PASSPHRASE)

    def order_there(self) -> str:
        """Measure, send, approve and order the same eye under the other registration."""
        self.elsewhere.measure(self.other, "R")
        request = self.elsewhere.send_for_plan(self.other, "R")
        approval = self.surgeon_there.approve(self.other, "R", request)
        return order.place(self.fenn, self.other, "R", approval, PASSPHRASE)

    def lists(self, actor: Actor) -> list[str]:
        """Return whose right eyes somebody's worklist shows."""
        here = (self.person, self.other)
        return [row.person for row in worklist.rows(actor) if row.eye == "R" and row.person in here]


@pytest.fixture
def pair(hospital: Hospital) -> Pair:
    """Return one person with two registrations."""
    return Pair(hospital)


def refusal(pair: Pair, actor: Actor | None = None) -> str:
    """Return the code of the refusal to join, with nothing joined."""
    with pytest.raises(Refused) as refused:
        joining.join(actor or pair.fenn, pair.person, pair.other, WHY, PASSPHRASE)
    assert not joins.touching(pair.person)
    return refused.value.code


class TestWhoJoins:
    """Two people, who both work at both camps as far as they sign (SAFETY 1.4)."""

    def test_nobody_before_a_judgement(self, pair: Pair) -> None:
        """A likeness of numbers alone joins nobody."""
        assert refusal(pair) == "joined.not_compared"

    def test_a_judgement_that_was_taken_back_is_none(self, pair: Pair) -> None:
        """Withdrawn by its author before the joining."""
        said = pair.compare()
        pair.elsewhere.keep("record.void", pair.other, None, {"target": said}, reason="A slip")
        assert refusal(pair) == "joined.not_compared"

    def test_the_rules_ask_for_a_standing_judgement_too(self, pair: Pair) -> None:
        """A record that got round the page, naming one that was taken back."""
        said = pair.compare()
        pair.elsewhere.keep("record.void", pair.other, None, {"target": said}, reason="A slip")
        body = {"other": pair.other, "place": "Upper Glen camp", "compared": said}
        subject, why = Subject(pair.person, None, "saltpan"), Correction(None, WHY)
        with database.writing(), pytest.raises(Refused) as refused:
            desk_record.write(pair.fenn, Draft("person.merged", subject, "desk", body, why))
        assert refused.value.code == "joined.not_compared"

    def test_two_people_are_not_joined(self, pair: Pair) -> None:
        """Somebody said that they are two."""
        body = {"other": pair.person, "answer": "different"}
        pair.elsewhere.keep("person.compared", pair.other, None, body)
        assert refusal(pair) == "joined.not_compared"

    def test_not_who_judged(self, pair: Pair) -> None:
        """Their own judgement is one person's."""
        duplicates.answer(pair.fenn, pair.person, pair.other, "same", PASSPHRASE)
        assert refusal(pair) == "joined.own_judgement"
        joining.join(pair.hale, pair.person, pair.other, WHY, PASSPHRASE)
        assert joins.touching(pair.person)

    def test_not_who_works_at_one_camp_alone(self, pair: Pair) -> None:
        """The other person is not even there for them."""
        pair.compare()
        here = pair.fenn._replace(roles=(RoleAt("desk", "saltpan"),))
        with pytest.raises(NotFound):
            joining.join(here, pair.person, pair.other, WHY, PASSPHRASE)

    @pytest.mark.parametrize("name", ["ambler", "rook", "birch"])
    def test_no_other_role(self, hospital: Hospital, pair: Pair, name: str) -> None:
        """An optometrist compares; an administrator or auditor sees no patient at all."""
        pair.compare()
        with pytest.raises((Refused, NotFound)):
            joining.join(hospital.actor(name), pair.person, pair.other, WHY, PASSPHRASE)

    def test_a_wrong_passphrase(self, pair: Pair) -> None:
        """Asked afresh."""
        pair.compare()
        with pytest.raises(Refused, match="passphrase"):
            joining.join(pair.fenn, pair.person, pair.other, WHY, "not it")

    def test_twice(self, pair: Pair) -> None:
        """One joining is enough."""
        pair.join()
        with pytest.raises(Refused) as refused:
            joining.join(pair.fenn, pair.other, pair.person, WHY, PASSPHRASE)
        assert refused.value.code == "joined.already"

    def test_the_audit_log_names_both(self, pair: Pair) -> None:
        """By their numbers alone."""
        pair.join()
        said = [line.said for line in audit_log.newest_lines(5, None)]
        (event,) = [one for one in said if one.event == "person.joined"]
        assert (event.actor, event.subject, event.detail) == ("u-fenn", pair.person, pair.other)

    def test_no_phone_joins(self, pair: Pair) -> None:
        """The record is the desk's to sign."""
        body = {"other": pair.other, "place": "Upper Glen camp", "compared": pair.compare()}
        (receipt,) = pair.surgeon.push(
            pair.surgeon.record("person.merged", pair.person, None, body, reason=WHY)
        )
        assert receipt.reason is not None
        assert receipt.reason.code == "kind.signer"


class TestJoined:
    """One person at the base."""

    def test_each_camp_has_a_record_of_it(self, pair: Pair) -> None:
        """So that the phones of either know."""
        pair.join()
        for person, other, place in (
            (pair.person, pair.other, "Upper Glen camp"),
            (pair.other, pair.person, "Saltpan camp"),
        ):
            (entry,) = [
                e for e in journal.entries_of_person(person) if e.kind == "person.merged"
            ]  # fmt: skip
            body = json.loads(entry.payload)["body"]
            assert (body["other"], body["place"]) == (other, place)

    def test_either_address_leads_to_the_same_file(self, pair: Pair) -> None:
        """Under the earlier registration, with the readings of both."""
        pair.join()
        width = pair.elsewhere.keep(WIDTH, pair.other, "L", width_body(11640))
        one, other = (casefile.person_file(pair.fenn, who) for who in (pair.person, pair.other))
        assert one == other
        assert (one.person, one.site) == (pair.person, "saltpan")
        assert width in json.dumps(one.fold["eyes"]["L"]["readings"])

    def test_the_approval_from_before_falls(self, pair: Pair) -> None:
        """Both halves are asked for again; the reason says why."""
        pair.join()
        assert pair.state() == "stale"
        assert pair.why_not() == "order.not_live"
        texts = " ".join(one.text for one in order.conditions(pair.fenn, pair.person, "R"))
        assert "joined after this approval" in texts

    def test_sent_and_approved_again_it_is_ordered_once(self, pair: Pair) -> None:
        """The plan is computed again from the records of both camps."""
        pair.join()
        request = pair.camp.send_for_plan(pair.person, "R")
        approval = pair.surgeon.approve(pair.person, "R", request)
        assert pair.place(approval=approval)
        with pytest.raises(Refused):
            order.place(pair.fenn, pair.other, "R", approval + "0", PASSPHRASE)
        assert pair.state() == "ordered"

    def test_who_measured_at_the_other_camp_cannot_approve(self, pair: Pair) -> None:
        """I3 over both halves: refused when the approval arrives."""
        pair.join()
        pair.surgeon_there.keep(WIDTH, pair.other, "R", width_body(11710))
        request = pair.camp.send_for_plan(pair.person, "R")
        body = pair.surgeon.approval_body(pair.person, "R", request)
        (receipt,) = pair.surgeon.push(pair.surgeon.record("plan.approval", pair.person, "R", body))
        assert receipt.reason is not None
        assert receipt.reason.code == "approval.own_reading"

    def test_a_reading_of_the_other_half_later_on_is_noticed(self, pair: Pair) -> None:
        """The kept fold does not outlive a record that came under the other registration."""
        pair.join()
        request = pair.camp.send_for_plan(pair.person, "R")
        pair.surgeon.approve(pair.person, "R", request)
        assert pair.state() == "approved"
        pair.elsewhere.keep(WIDTH, pair.other, "R", width_body(11680))
        assert pair.state() == "stale"

    def test_is_listed_once(self, pair: Pair) -> None:
        """And found by either camp's words; who works at the later camp alone still finds them."""
        assert sorted(pair.lists(pair.fenn)) == [pair.person, pair.other]
        pair.join()
        assert pair.lists(pair.fenn) == [pair.person]
        there = pair.fenn._replace(roles=(RoleAt("desk", "upper-glen"),))
        assert pair.lists(there) == [pair.other]
        assert casefile.person_file(there, pair.other).person == pair.person

    def test_who_works_at_neither_camp_finds_nobody(self, pair: Pair) -> None:
        """Joining opens no door to a third camp."""
        pair.join()
        third = pair.fenn._replace(roles=(RoleAt("desk", "north-quay"),))
        for person in (pair.person, pair.other):
            with pytest.raises(NotFound):
                casefile.person_file(third, person)

    def test_is_no_likeness_of_itself(self, pair: Pair) -> None:
        """A third registration is one, of both halves, once."""
        pair.join()
        assert duplicates.of_person(pair.person) == []
        third = pair.elsewhere.register()
        assert [one.other for one in duplicates.of_person(pair.other)] == [third]


class TestTwoOrders:
    """I17: two registrations of one person never lead to two orders."""

    def test_two_that_stand_are_not_joined(self, pair: Pair) -> None:
        """One is cancelled first; the answer that they are two let both be ordered."""
        duplicates.answer(pair.fenn, pair.person, pair.other, "different", PASSPHRASE)
        mine = pair.place()
        pair.order_there()
        pair.compare()
        assert refusal(pair) == "joined.two_orders"
        order.cancel(pair.fenn, mine, "Registered twice", PASSPHRASE)
        joining.join(pair.fenn, pair.person, pair.other, WHY, PASSPHRASE)
        assert pair.state() == "ordered"

    def test_an_order_of_one_half_stops_the_other(self, pair: Pair) -> None:
        """Ordered at the later camp; a fresh approval under the earlier one orders nothing."""
        duplicates.answer(pair.fenn, pair.person, pair.other, "different", PASSPHRASE)
        pair.order_there()
        pair.join()
        eye = casefile.person_file(pair.fenn, pair.person).fold["eyes"]["R"]
        assert eye["state"] == "ordered"
        assert eye["late"]["blocks"] == 1
        request = pair.camp.send_for_plan(pair.person, "R")
        approval = pair.surgeon.approve(pair.person, "R", request)
        with pytest.raises(Refused):
            pair.place(approval=approval)
        twice = [one for one in order.conditions(pair.fenn, pair.person, "R")
                 if one.code == "order.twice"]  # fmt: skip
        assert [one.ok for one in twice] == [False]

    def test_a_surgeon_answers_for_the_order_of_the_other_half(self, pair: Pair) -> None:
        """Under the registration that the person goes by."""
        duplicates.answer(pair.fenn, pair.person, pair.other, "different", PASSPHRASE)
        ordered = pair.order_there()
        pair.join()
        late = casefile.person_file(pair.fenn, pair.person).fold["eyes"]["R"]["late"]
        marsh = pair.hospital.phone("marsh", "saltpan")
        seen = sorted({one["record"] for one in late["unanswered"]})
        body = {"order": ordered, "seen": seen, "answer": "keep"}
        marsh.keep("late.answered", pair.person, "R", body, reason="The same lens either way")
        after = casefile.person_file(pair.fenn, pair.person).fold["eyes"]["R"]["late"]
        assert (after["next"], after["blocks"]) == ("none", 0)

    def test_two_lenses_in_one_eye_are_not_joined(self, pair: Pair) -> None:
        """One of the records is wrong, and only its author can say which."""
        pair.compare()
        pair.surgeon.keep("surgery.implanted", pair.person, "R", surgery(serial="A1"))
        pair.surgeon_there.keep("surgery.implanted", pair.other, "R", surgery(serial="B2"))
        assert refusal(pair) == "joined.two_lenses"

    def test_a_second_lens_of_a_joined_eye_is_refused(self, pair: Pair) -> None:
        """Whichever camp it is recorded at (I20)."""
        pair.join()
        pair.surgeon.keep("surgery.implanted", pair.person, "R", surgery(serial="A1"))
        (receipt,) = pair.surgeon_there.push(
            pair.surgeon_there.record("surgery.implanted", pair.other, "R", surgery(serial="B2"))
        )
        assert receipt.reason is not None
        assert receipt.reason.code == "surgery.twice"

    def test_an_approval_is_taken_back_where_it_is_filed(self, pair: Pair) -> None:
        """Filed elsewhere it would take nothing back, and look as if it did."""
        pair.elsewhere.measure(pair.other, "R")
        request = pair.elsewhere.send_for_plan(pair.other, "R")
        approval = pair.surgeon_there.approve(pair.other, "R", request)
        pair.join()
        (receipt,) = pair.surgeon.push(
            pair.surgeon.record(
                "plan.withdrawal", pair.person, "R", {"target": approval}, reason="Doubt"
            )
        )
        assert receipt.reason is not None
        assert receipt.reason.code == "target.other"


class TestSeparated:
    """Everything as before, and the question open again."""

    def test_the_approval_from_before_stands_again(self, pair: Pair) -> None:
        """But the likeness asks once more before anything is ordered."""
        pair.join()
        pair.separate()
        assert pair.state() == "approved"
        assert sorted(pair.lists(pair.fenn)) == [pair.person, pair.other]
        assert pair.why_not() == "order.possible_duplicate"
        duplicates.answer(pair.fenn, pair.person, pair.other, "different", PASSPHRASE)
        assert pair.place()

    def test_what_was_approved_while_joined_falls(self, pair: Pair) -> None:
        """It knew the readings of somebody else."""
        pair.join()
        request = pair.camp.send_for_plan(pair.person, "R")
        approval = pair.surgeon.approve(pair.person, "R", request)
        pair.separate()
        fold = casefile.person_file(pair.fenn, pair.person).fold["eyes"]["R"]
        (fallen,) = [one for one in fold["approvals"] if one["id"] == approval]
        assert "separated again" in fallen["stale"][0]["text"]

    def test_once(self, pair: Pair) -> None:
        """A second time there is nothing to separate."""
        pair.join()
        (record, *_) = [one.record for one in joins.touching(pair.person)]
        pair.separate()
        with pytest.raises(Refused) as refused:
            joining.propose_separation(pair.fenn, record, "Again", PASSPHRASE)
        assert refused.value.code == "target.not_live"

    def test_by_two_people(self, pair: Pair) -> None:
        """A proposal changes nothing, and nobody confirms their own."""
        pair.join()
        # Either camp's record is of the same pair.
        near, far = [one.record for one in joins.touching(pair.person)]
        with pytest.raises(NotFound):
            joining.confirm_separation(pair.fenn, near, PASSPHRASE)
        joining.propose_separation(pair.hale, near, "Two cousins", PASSPHRASE)
        assert len(joins.touching(pair.person)) == 2
        with pytest.raises(Refused) as refused:
            joining.confirm_separation(pair.hale, far, PASSPHRASE)
        assert refused.value.code == "two_people.same"
        with pytest.raises(Refused) as refused:
            joining.propose_separation(pair.fenn, far, "Two cousins", PASSPHRASE)
        assert refused.value.code == "joined.proposed"
        joining.confirm_separation(pair.fenn, far, PASSPHRASE)
        assert joins.touching(pair.person) == []

    def test_a_record_that_names_one_person_alone_is_refused(self, pair: Pair) -> None:
        """Whatever made it: the rule is asked of the record itself."""
        pair.join()
        (record, *_) = [one for one in joins.touching(pair.person) if one.person == pair.person]
        body = {"target": record.record, "proposed_by": pair.fenn.user_id}
        subject = Subject(pair.person, None, "saltpan")
        said = Draft("person.split", subject, "desk", body, Correction(None, "Two cousins"))
        with pytest.raises(Refused) as refused, database.writing():
            desk_record.write(pair.fenn, said)
        assert refused.value.code == "joined.alone"

    def test_the_judgement_is_asked_again_before_another_joining(self, pair: Pair) -> None:
        """The old one was wrong, or at least in doubt."""
        pair.join()
        pair.separate()
        assert refusal(pair) == "joined.not_compared"
        pair.compare()
        joining.join(pair.fenn, pair.person, pair.other, WHY, PASSPHRASE)
        assert pair.lists(pair.fenn) == [pair.person]
