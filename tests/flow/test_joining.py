"""Joining two registrations at the base: who may, and what the eye is then (I17)."""

import json

import pytest

from tests.flow.pairs import WHY, Pair, refusal
from tests.hospital import Hospital, width_body
from webapp.demo_people import PASSPHRASE
from webapp.flow import casefile, desk_record, duplicates, joining, order
from webapp.flow.actor import RoleAt
from webapp.flow.desk_record import Draft
from webapp.flow.refusal import NotFound, Refused
from webapp.records.draft import Correction, Subject
from webapp.store import audit_log, database, journal
from webapp.store.projections import joins

WIDTH = "reading.white_to_white"


@pytest.fixture
def pair(hospital: Hospital) -> Pair:
    """Return one person with two registrations."""
    return Pair(hospital)


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
