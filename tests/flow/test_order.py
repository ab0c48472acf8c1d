"""Ordering: from a live approval only, once, and the lens exactly as approved."""

import threading

import pytest

from tests.hospital import CATALOGUE, WALL, Hospital, person_body, set_roles, width_body
from webapp.core_bundle import core_sha256
from webapp.demo_people import PASSPHRASE
from webapp.flow import casefile, devices, kept_folds, key_authority, order, recheck, reference
from webapp.flow.actor import Actor, RoleAt
from webapp.flow.key_authority import Revocation
from webapp.flow.refusal import NotFound, Refused
from webapp.records import canonical
from webapp.records.envelope import digest_of
from webapp.store import database, journal
from webapp.store.projections import orders, plan_checks

WIDTH = "reading.white_to_white"


class Case:
    """One person whose right eye was measured, sent and approved."""

    def __init__(self, hospital: Hospital) -> None:
        hospital.adopt_reference()
        self.hospital = hospital
        self.camp = hospital.phone("ambler", "saltpan")
        self.surgeon = hospital.phone("verrill", "saltpan")
        self.fenn = hospital.actor("fenn")
        self.person = self.camp.register()
        self.ids = self.camp.measure(self.person, "R")
        self.request = self.camp.send_for_plan(self.person, "R")
        self.approval = self.surgeon.approve(self.person, "R", self.request)

    def place(self, actor: Actor | None = None, approval: str = "", passphrase: str = PASSPHRASE
              ) -> str:  # fmt: skip
        """Order the approved lens."""
        return order.place(
            actor or self.fenn, self.person, "R", approval or self.approval, passphrase
        )

    def why_not(self, **changed: object) -> str:
        """Return the code of the refusal to order, with nothing ordered."""
        with pytest.raises(Refused) as refused:
            self.place(**changed)  # type: ignore[arg-type]
        assert not orders.of_case(self.person, "R")
        return refused.value.code

    def state(self) -> str:
        """Return the state of the right eye."""
        return str(casefile.person_file(self.fenn, self.person).fold["eyes"]["R"]["state"])


@pytest.fixture
def case(hospital: Hospital) -> Case:
    """Return an eye ready to be ordered."""
    return Case(hospital)


class TestPlace:
    """What an order is made from."""

    def test_carries_the_approved_lens_byte_for_byte(self, case: Case) -> None:
        """The canonical bytes of the lens stand unchanged in the order (I11)."""
        placed = case.place()
        found = journal.entries_by_id([placed, case.approval])
        approved = canonical.decode(found[case.approval].payload)
        lens = b'"lens":' + canonical.encode(approved["body"]["shown"]["lens"])  # type: ignore
        assert lens in found[case.approval].payload
        assert lens in found[placed].payload
        assert case.state() == "ordered"

    def test_the_conditions_hold_before_and_not_after(self, case: Case) -> None:
        """The list that the page shows is the list that the order checks."""
        before = order.conditions(case.fenn, case.person, "R")
        assert [condition.ok for condition in before] == [True] * 6
        case.place()
        after = order.conditions(case.fenn, case.person, "R")
        assert not after[0].ok
        assert not after[4].ok

    def test_asking_twice_returns_the_same_order(self, case: Case) -> None:
        """A page sent twice orders one lens (I2)."""
        assert case.place() == case.place()
        assert len(orders.of_case(case.person, "R")) == 1

    def test_two_desks_at_once_order_one_lens(self, case: Case) -> None:
        """Two threads press the button together: one record, one order, the same answer."""
        barrier, answers = threading.Barrier(2), []

        def press() -> None:
            with database.connection():
                barrier.wait()
                answers.append(case.place())

        threads = [threading.Thread(target=press) for _ in range(2)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert len(answers) == 2
        assert answers[0] == answers[1]
        placed = [e for e in journal.entries_of_person(case.person) if e.kind == "order.placed"]
        assert len(placed) == 1

    def test_is_signed_by_the_desk_in_the_name_of_who_asked(self, case: Case) -> None:
        """The record names the signed-in person; the key is the installation's."""
        placed = journal.entries_by_id([case.place()]).popitem()[1]
        assert placed.author == "u-fenn"
        assert devices.store.find(placed.kid).user == devices.store.DESK  # type: ignore

    def test_the_database_itself_refuses_a_second_live_order(self, case: Case) -> None:
        """The last line of defence is a unique index, not only code."""
        case.place()
        columns = {"order_id": "f" * 64, "number": 99, "approval": "e" * 64,
                   "person": case.person, "eye": "R", "site": "saltpan"}  # fmt: skip
        with pytest.raises(Exception, match=r"(?i)unique"):
            orders.place(columns)


class TestNotPlaced:
    """Each condition, taken away alone, stops the order."""

    def test_after_a_newer_reading(self, case: Case) -> None:
        """A live reading of that eye outside what was approved makes the approval stale (I14)."""
        case.camp.keep(WIDTH, case.person, "R", width_body(11900))
        assert case.why_not() == "order.not_live"
        assert case.state() == "stale"

    def test_after_a_withdrawn_reading(self, case: Case) -> None:
        """A reading that the approval rests on and that is void stops the order (I7)."""
        target = case.ids[WIDTH]
        case.camp.keep("record.void", case.person, "R", {"target": target}, reason="wrong eye")
        assert case.why_not() == "order.not_live"

    def test_after_the_approval_was_taken_back(self, case: Case) -> None:
        """The surgeon's withdrawal counts at once (I13)."""
        target, why = {"target": case.approval}, "The person asked for time to think."
        case.surgeon.keep("plan.withdrawal", case.person, "R", target, reason=why)
        assert case.why_not() in ("order.not_live", "order.not_newest")

    @pytest.mark.parametrize(
        "left", [RoleAt("optometrist", "upper-glen"), RoleAt("surgeon", "upper-glen")]
    )
    def test_when_the_approver_lost_the_role(self, case: Case, left: RoleAt) -> None:
        """The role is asked for now and at this site, not when the approval was signed (I3)."""
        set_roles("u-verrill", left)
        assert case.why_not() == "order.approver"

    def test_when_the_approvers_key_was_revoked(self, case: Case) -> None:
        """A phone reported lost approves nothing from then on, nor is ordered from what it did."""
        lost = Revocation("lost", None)
        key_authority.revoke(case.hospital.actor("rook"), case.surgeon.kid, lost)
        assert case.why_not() == "order.key_revoked"

    def test_when_the_approval_says_that_it_is_of_that_time(self, case: Case) -> None:
        """Signed when the phone may have been in other hands: it falls by itself."""
        stolen = Revocation("stolen", WALL)
        key_authority.revoke(case.hospital.actor("rook"), case.surgeon.kid, stolen)
        assert case.why_not() == "order.not_live"
        fold = kept_folds.current_fold(case.person)
        (reason,) = fold["eyes"]["R"]["approval"]["stale"]
        assert reason["code"] == "key_suspect"

    def test_when_the_plan_comes_out_differently(self, case: Case) -> None:
        """A plan that this server cannot reproduce stops the case."""
        recheck.run_waiting_of(case.person)
        plan_checks.keep(case.approval, recheck.DIFFERS, "Test.", core_sha256())
        assert case.why_not() == "order.plan_differs"

    def test_when_a_caution_was_signed_as_a_note(self, case: Case) -> None:
        """Whoever makes less of a finding than it is has answered for nothing (I25)."""
        case.camp.keep(WIDTH, case.person, "L", width_body(13300))
        body = case.surgeon.approval_body(case.person, "R", case.request)
        cautions = [found["code"] for found in body["shown"]["findings"]
                    if (found["code"][:3], found["level"]) == ("D15", "caution")]  # fmt: skip
        assert cautions
        findings = [{**found, "level": "note"} if found["code"] in cautions else found
                    for found in body["shown"]["findings"]]  # fmt: skip
        seen = [one for one in body["acknowledged"] if one["code"] not in cautions]
        shown = {**body["shown"], "findings": findings}
        less = {**body, "shown": shown, "digest": digest_of(shown), "acknowledged": seen}
        approval = case.surgeon.keep("plan.approval", case.person, "R", less)
        # Two fallen approvals of one moment: whichever is shown, neither can be ordered from.
        assert case.why_not(approval=approval) in ("order.not_live", "order.not_newest")
        whole = case.surgeon.keep("plan.approval", case.person, "R", body)
        assert case.place(approval=whole)

    def test_after_a_new_catalogue(self, case: Case) -> None:
        """An approval is bound to the catalogue it was made with (I12)."""
        newer = {**CATALOGUE, "title": "Newer"}
        reference.adopt(case.hospital.actor("rook"), "catalogue.adopted", newer)
        assert case.why_not() == "order.not_live"

    def test_with_two_approvals_of_different_lenses(self, case: Case) -> None:
        """Contradicting decisions are settled by people, not by who came last (I9)."""
        marsh = case.hospital.phone("marsh", "saltpan")
        body = case.surgeon.approval_body(case.person, "R", case.request)
        shown = {**body["shown"], "lens": {**body["shown"]["lens"], "length_um": 13500}}
        other = {**body, "shown": shown, "digest": digest_of(shown)}
        marsh.keep("plan.approval", case.person, "R", other)
        assert case.state() == "conflict"
        assert case.why_not() in ("order.not_live", "order.not_newest")

    def test_with_another_approvals_id(self, case: Case) -> None:
        """The address names the approval that was read; another one is not ordered instead."""
        assert case.why_not(approval="0" * 64) == "order.not_newest"

    def test_with_a_wrong_passphrase(self, case: Case) -> None:
        """The passphrase is asked afresh."""
        assert case.why_not(passphrase="not this one") == "passphrase.wrong"

    def test_by_somebody_without_the_desk_role(self, case: Case) -> None:
        """A surgeon approves and does not order."""
        assert case.why_not(actor=case.hospital.actor("verrill")) == "role.missing"

    def test_from_another_site(self, case: Case) -> None:
        """A desk person of another camp sees nothing to order."""
        elsewhere = case.fenn._replace(roles=(RoleAt("desk", "upper-glen"),))
        with pytest.raises(NotFound):
            case.place(actor=elsewhere)


class TestAfterwards:
    """Reference, copies and cancellation of an order."""

    def test_a_cancelled_order_frees_the_eye_for_a_new_plan(self, case: Case) -> None:
        """A new request, approval and order follow; the old order stays on record."""
        first = case.place()
        order.cancel(case.fenn, first, "Supplier cannot make it", PASSPHRASE)
        assert case.state() == "cancelled"
        request = case.camp.send_for_plan(case.person, "R")
        case.approval = case.surgeon.approve(case.person, "R", request)
        second = case.place()
        assert second != first
        assert order.order_of_case(case.fenn, case.person, "R") == second
        sheet = order.sheet(case.fenn, first)
        assert (sheet.live, sheet.cancelled_reason) == (False, "Supplier cannot make it")

    def test_a_spent_approval_is_not_ordered_from_again(self, case: Case) -> None:
        """After a cancellation the same approval does not order a second lens."""
        order.cancel(case.fenn, case.place(), "Typed in error", PASSPHRASE)
        with pytest.raises(Refused) as refused:
            case.place()
        assert refused.value.code in ("order.not_live", "order.not_newest")

    def test_a_reference_belongs_to_one_order(self, case: Case) -> None:
        """The same supplier reference on two orders means that one of them is wrong (H26)."""
        placed = case.place()
        order.add_reference(case.fenn, placed, "TI-778")
        orders.place(
            {"order_id": "f" * 64, "number": 99, "approval": "e" * 64, "person": case.person,
             "eye": "L", "site": "saltpan"}
        )  # fmt: skip
        with pytest.raises(Refused) as refused:
            order.add_reference(case.fenn, "f" * 64, "TI-778")
        assert refused.value.code == "order.reference_twice"
        assert order.sheet(case.fenn, placed).supplier_reference == "TI-778"

    def test_each_copy_has_its_number(self, case: Case) -> None:
        """The second print is known as the second."""
        placed = case.place()
        assert [order.record_print(case.fenn, placed) for _ in range(2)] == [1, 2]
        assert order.sheet(case.fenn, placed).copies == 2

    def test_a_cancelled_order_takes_no_reference(self, case: Case) -> None:
        """Nothing more is done to an order that was cancelled."""
        placed = case.place()
        order.cancel(case.fenn, placed, "Typed in error", PASSPHRASE)
        with pytest.raises(Refused) as refused:
            order.add_reference(case.fenn, placed, "TI-9")
        assert refused.value.code == "order.cancelled"

    def test_the_sheet_holds_every_record_the_approval_rests_on(self, case: Case) -> None:
        """Nothing on the sheet is retyped: lens, person and evidence come from signed records."""
        sheet = order.sheet(case.fenn, case.place())
        assert sheet.person_body == person_body()
        assert [one["id"] for one in sheet.evidence] == sheet.approval["body"]["shown"]["evidence"]
        assert set(case.ids.values()) <= {one["id"] for one in sheet.evidence}
        assert sheet.lens == sheet.approval["body"]["shown"]["lens"]
        assert (sheet.approved_by, sheet.ordered_by) == ("Dr S. Verrill", "L. Fenn")
        assert sheet.catalogue == CATALOGUE
