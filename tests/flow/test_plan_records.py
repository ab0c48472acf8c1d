"""Requests, approvals, questions and withdrawals: who may say what about which eye."""

import json
from datetime import timedelta
from typing import Any

import pytest

from tests.flow.receiving import signed_unchecked
from tests.hospital import Hospital, Phone
from webapp.demo_people import PASSPHRASE
from webapp.flow import clock, desk_record, order
from webapp.flow.desk_record import Draft
from webapp.flow.receive import Receipt
from webapp.flow.refusal import Refused
from webapp.records.draft import Subject
from webapp.records.envelope import digest_of
from webapp.store import database, journal


class Case:
    """A right eye that was measured and sent, and the people around it."""

    def __init__(self, hospital: Hospital) -> None:
        hospital.adopt_reference()
        self.hospital = hospital
        self.camp = hospital.phone("ambler", "saltpan")
        self.surgeon = hospital.phone("verrill", "saltpan")
        self.person = self.camp.register()
        self.ids = self.camp.measure(self.person, "R")
        self.request = self.camp.send_for_plan(self.person, "R")

    def say(
        self, phone: Phone, kind: str, body: dict[str, Any], eye: str = "R", **changed: object
    ) -> Receipt:
        """Hand one record about this person in."""
        (receipt,) = phone.push(phone.record(kind, self.person, eye, body, **changed))
        return receipt

    def approval(self) -> dict[str, Any]:
        """Return the body of a right approval."""
        return self.surgeon.approval_body(self.person, "R", self.request)


@pytest.fixture
def case(hospital: Hospital) -> Case:
    """Return an eye that waits for a surgeon."""
    return Case(hospital)


def code(receipt: Receipt) -> str:
    """Return why a record was refused, or an empty text."""
    return receipt.reason.code if receipt.reason else ""


def changed_shown(body: dict[str, Any], **parts: object) -> dict[str, Any]:
    """Return a body whose plan has other parts, digest to match."""
    shown = {**body["shown"], **parts}
    return {**body, "shown": shown, "digest": digest_of(shown)}


class TestApproval:
    """Only a surgeon, only of what others measured and sent (I3)."""

    def test_by_a_surgeon_who_did_neither(self, case: Case) -> None:
        """The ordinary approval is stored."""
        assert case.say(case.surgeon, "plan.approval", case.approval()).result == "stored"

    def test_by_an_optometrist(self, case: Case) -> None:
        """The role is written in the record and held to the kind."""
        body = case.approval()
        case.camp.role = "surgeon"
        assert code(case.say(case.camp, "plan.approval", body)) == "role.not_held"

    def test_of_ones_own_request(self, case: Case) -> None:
        """Whoever sends an eye for a plan cannot approve it."""
        case.request = case.surgeon.send_for_plan(case.person, "R")
        answer = case.say(case.surgeon, "plan.approval", case.approval())
        assert code(answer) == "approval.own_request"

    def test_of_ones_own_reading(self, case: Case) -> None:
        """Whoever measured the eye cannot approve its lens."""
        case.surgeon.measure(case.person, "R")
        answer = case.say(case.surgeon, "plan.approval", case.approval())
        assert code(answer) == "approval.own_reading"

    def test_of_a_request_that_is_not_here(self, case: Case) -> None:
        """It waits for its request."""
        body = {**case.approval(), "request": "0" * 64}
        assert code(case.say(case.surgeon, "plan.approval", body)) == "request.unknown"

    def test_of_a_record_that_is_no_request(self, case: Case) -> None:
        """A reading is no request."""
        body = {**case.approval(), "request": case.ids["reading.pupil"]}
        assert code(case.say(case.surgeon, "plan.approval", body)) == "request.unknown"

    def test_of_the_other_eyes_request(self, case: Case) -> None:
        """A request for the left eye cannot be answered for the right one (I16)."""
        case.camp.measure(case.person, "L")
        body = {**case.approval(), "request": case.camp.send_for_plan(case.person, "L")}
        assert code(case.say(case.surgeon, "plan.approval", body)) == "request.other"

    def test_that_rests_on_the_other_eyes_reading(self, case: Case) -> None:
        """Each bound record is of this eye, or of no eye (I16)."""
        left = case.camp.measure(case.person, "L")["reading.pupil"]
        body = case.approval()
        evidence = sorted([*body["shown"]["evidence"], left])
        answer = case.say(case.surgeon, "plan.approval", changed_shown(body, evidence=evidence))
        assert code(answer) == "evidence.other"

    def test_that_rests_on_another_persons_reading(self, case: Case) -> None:
        """A slip between two open people does not pass (H02)."""
        other = case.camp.measure(case.camp.register(), "R")["reading.pupil"]
        body = case.approval()
        evidence = sorted([*body["shown"]["evidence"], other])
        answer = case.say(case.surgeon, "plan.approval", changed_shown(body, evidence=evidence))
        assert code(answer) == "evidence.other"

    def test_that_rests_on_a_record_not_here(self, case: Case) -> None:
        """The server never accepts on trust what it has not got."""
        body = case.approval()
        evidence = sorted([*body["shown"]["evidence"], "0" * 64])
        answer = case.say(case.surgeon, "plan.approval", changed_shown(body, evidence=evidence))
        assert code(answer) == "evidence.unknown"

    @pytest.mark.parametrize("part", ["catalogue", "limits"])
    def test_with_a_catalogue_or_limits_not_here(self, case: Case, part: str) -> None:
        """What was never adopted here binds nobody."""
        body = changed_shown(case.approval(), **{part: "0" * 64})
        assert code(case.say(case.surgeon, "plan.approval", body)) == "reference.unknown"

    def test_computed_for_a_day_to_come(self, case: Case) -> None:
        """A phone's clock may be a day ahead of the server's by its place on earth, not more."""
        today = clock.utc_now()
        for days, why in ((1, ""), (2, "plan.future")):
            as_of = (today + timedelta(days=days)).strftime("%Y-%m-%d")
            body = changed_shown(case.approval(), as_of=as_of)
            assert code(case.say(case.surgeon, "plan.approval", body)) == why

    def test_whose_digest_is_of_something_else(self, case: Case) -> None:
        """The digest is computed again from what the record shows (I4)."""
        body = {**case.approval(), "digest": "0" * 64}
        envelope = signed_unchecked(case.surgeon, "plan.approval", case.person, "R", body)
        (receipt,) = case.surgeon.push(envelope)
        assert code(receipt) == "record.bad"


class TestTalk:
    """Questions, answers, declines."""

    def test_a_question_its_answer_and_a_decline(self, case: Case) -> None:
        """Each names what it is about."""
        asked = case.say(
            case.surgeon, "plan.question", {"request": case.request, "text": "Which device?"}
        )
        assert asked.result == "stored"
        answer = {"question": asked.id, "text": "The caliper."}
        assert case.say(case.camp, "plan.answer", answer).result == "stored"
        decline = {"request": case.request, "text": "Cornea too thin."}
        assert case.say(case.surgeon, "plan.decline", decline).result == "stored"

    @pytest.mark.parametrize(
        ("kind", "field"),
        [("plan.question", "request"), ("plan.decline", "request"), ("plan.answer", "question")],
    )
    def test_about_nothing(self, case: Case, kind: str, field: str) -> None:
        """What it names must be here, of the right kind."""
        for named in ("0" * 64, case.ids["reading.pupil"]):
            answer = case.say(case.surgeon, kind, {field: named, "text": "x"})
            assert code(answer) == f"{field}.unknown"


class TestWithdrawal:
    """Taking back one's own request or approval."""

    def answer(self, case: Case, phone: Phone, target: str) -> Receipt:
        """Take something back with a reason."""
        why = "The person asked for time to think."
        return case.say(phone, "plan.withdrawal", {"target": target}, reason=why)

    def test_ones_own(self, case: Case) -> None:
        """Whoever sent it takes it back."""
        assert self.answer(case, case.camp, case.request).result == "stored"

    def test_a_colleagues(self, case: Case) -> None:
        """A surgeon does not take a camp's request back, nor another surgeon's approval."""
        approval = case.surgeon.approve(case.person, "R", case.request)
        marsh = case.hospital.phone("marsh", "saltpan")
        for target in (case.request, approval):
            answer = self.answer(case, marsh, target)
            assert code(answer) == "target.not_own"

    def test_a_reading(self, case: Case) -> None:
        """A reading is withdrawn by record.void, with a reason."""
        answer = self.answer(case, case.camp, case.ids["reading.pupil"])
        assert code(answer) == "target.unknown"

    def test_an_approval_by_void(self, case: Case) -> None:
        """Voiding is for readings and answers."""
        approval = case.surgeon.approve(case.person, "R", case.request)
        envelope = case.surgeon.record(
            "record.void", case.person, "R", {"target": approval}, reason="changed my mind"
        )
        (receipt,) = case.surgeon.push(envelope)
        assert code(receipt) == "target.kind"


class TestOrder:
    """Orders come from the desk's pages alone."""

    def test_from_a_phone(self, case: Case) -> None:
        """Even a desk person's own phone places no order."""
        approval = case.surgeon.approve(case.person, "R", case.request)
        stored = journal.entries_by_id([approval])[approval]
        assert stored.kind == "plan.approval"
        body = case.approval()
        fenn = case.hospital.phone("fenn", "saltpan")
        order = {"approval": approval, "digest": body["digest"], "lens": body["shown"]["lens"],
                 "number": "2026-00001"}  # fmt: skip
        assert code(case.say(fenn, "order.placed", order)) == "kind.signer"

    def test_a_second_one_around_the_page(self, case: Case) -> None:
        """The desk's own key signs no second order while one is live (I2)."""
        approval = case.surgeon.approve(case.person, "R", case.request)
        first = order.place(case.hospital.actor("fenn"), case.person, "R", approval, PASSPHRASE)
        body = {**json.loads(journal.entries_by_id([first])[first].payload)["body"],
                "number": "2026-00099"}  # fmt: skip
        subject = Subject(case.person, "R", "saltpan")
        draft = Draft("order.placed", subject, "desk", body)
        with pytest.raises(Refused) as refused, database.writing():
            desk_record.write(case.hospital.actor("fenn"), draft)
        assert refused.value.code == "order.twice"
