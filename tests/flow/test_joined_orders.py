"""Orders and lenses of two registrations, joined and separated again (I17)."""

import pytest

from tests.flow.pairs import WHY, Pair, refusal
from tests.flow.surgeries import surgery
from tests.hospital import Hospital
from webapp.demo_people import PASSPHRASE
from webapp.flow import casefile, desk_record, duplicates, joining, order
from webapp.flow.desk_record import Draft
from webapp.flow.refusal import NotFound, Refused
from webapp.records.draft import Correction, Subject
from webapp.store import database
from webapp.store.projections import joins

WIDTH = "reading.white_to_white"


@pytest.fixture
def pair(hospital: Hospital) -> Pair:
    """Return one person with two registrations."""
    return Pair(hospital)


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
