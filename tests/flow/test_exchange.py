"""The second cycle of an eye at the base: decided, ordered, one lens out and another one in."""

import json
from typing import Any

import pytest

from tests.flow.test_surgery import surgery, vault
from tests.hospital import ANSWERS, CATALOGUE, READINGS, WALL, Hospital, Phone, plan_of
from webapp.demo_people import PASSPHRASE
from webapp.flow import (
    casefile,
    desk_record,
    key_authority,
    order,
    order_conditions,
    recall,
    recheck,
    reference,
)
from webapp.flow.desk_record import Draft
from webapp.flow.key_authority import Revocation
from webapp.flow.refusal import Refused
from webapp.records import canonical
from webapp.records.draft import Subject
from webapp.records.envelope import digest_of
from webapp.store import database, journal
from webapp.store.projections import implants, orders

BEFORE, SEEN = "2026-10-01T08:00:00.000Z", "2026-11-20T08:00:00.000Z"
EXCHANGED_ON, LATER = "2026-11-22", "2026-11-24T08:00:00.000Z"
OLD_LENS = {
    "model": "Model A-s", "sphere_cD": -1000, "cylinder_cD": 0, "axis_deg": None,
    "length_um": 13000,
}  # fmt: skip
SURE = {name: "sure" for name in ("scan", "label", "orientation", "eye")}


class Case:
    """A right eye that was planned, ordered and operated, whose lens lies too high."""

    def __init__(self, hospital: Hospital) -> None:
        hospital.adopt_reference()
        self.hospital = hospital
        self.camp, self.surgeon = hospital.phone("ambler"), hospital.phone("verrill")
        self.fenn = hospital.actor("fenn")
        self.person = self.camp.register()
        self.measure("R")
        request = self.camp.send_for_plan(self.person, "R")
        self.approval = self.surgeon.approve(self.person, "R", request)
        self.first_order = self.place(self.approval)
        self.old = self.operate(
            lens=OLD_LENS, order=self.first_order, approval=self.approval, serial="TI-1"
        )
        self.vault = self.see("followup.vault", vault_um=1250)

    def measure(self, eye: str) -> None:
        """Read the eye before its surgery."""
        self.camp.keep("history.answers", self.person, None, dict(ANSWERS))
        for kind, body in READINGS.items():
            self.camp.keep(kind, self.person, eye, {**body, "taken": BEFORE, "typed": {}})

    def see(self, kind: str, implant: str = "", taken: str = SEEN, **body: object) -> str:
        """Keep a reading after surgery."""
        named = implant or self.old
        if kind == "followup.vault":
            full = vault(named, taken=taken, **body)
        else:
            full = {"implant": named, "taken": taken, "typed": {}, **body}
        return self.camp.keep(kind, self.person, "R", full)

    def place(self, approval: str) -> str:
        """Order a lens at the desk."""
        return order.place(self.fenn, self.person, "R", approval, PASSPHRASE)

    def why_not(self, approval: str) -> str:
        """Return the code of the refusal to order."""
        with pytest.raises(Refused) as refused:
            self.place(approval)
        return refused.value.code

    def operate(self, **body: Any) -> str:  # noqa: ANN401
        """Record a surgery of the right eye."""
        return self.surgeon.keep("surgery.implanted", self.person, "R", surgery(**body))

    def asked(self, **more: object) -> dict[str, Any]:
        """Return what the door says of the lens in the eye."""
        return plan_of(self.person, "R", do="exchange", **more)

    def decision(self, what: str = "exchange", **changed: Any) -> dict[str, Any]:  # noqa: ANN401
        """Return the body of a decision, every finding answered."""
        shown = self.asked()["shown" if what == "exchange" else "shown_without"]
        shown = {**shown, **changed.pop("shown", {})}
        return {
            "implant": self.old,
            "shown": shown,
            "digest": digest_of(shown),
            "decision": what,
            "sure": SURE,
            "acknowledged": [
                {"code": one["code"], "at": WALL}
                for one in shown["findings"]
                if one["level"] == "caution"
            ],
            "overrides": [],
            "note": None,
            "read_to_end": 1,
            **changed,
        }

    def decide(self, what: str = "exchange", who: Phone | None = None, **changed: Any) -> str:  # noqa: ANN401
        """Keep a decision about the lens in the eye; return its id."""
        phone = who or self.surgeon
        return phone.keep("exchange.decided", self.person, "R", self.decision(what, **changed))

    def refused(self, phone: Phone, kind: str, body: dict[str, Any], **changed: object) -> str:
        """Hand a record in that is refused; return the code."""
        (receipt,) = phone.push(phone.record(kind, self.person, "R", body, **changed))
        assert receipt.result == "refused"
        assert receipt.reason is not None
        return receipt.reason.code

    def exchange_body(self, **changed: Any) -> dict[str, Any]:  # noqa: ANN401
        """Return the body of the surgery that puts another lens in the old one's place."""
        return surgery(
            **{
                "serial": "TI-2", "operated": EXCHANGED_ON, "explants": self.old,
                "explanted_serial": "TI-1", "explanted_reason": None, **changed,
            }
        )  # fmt: skip

    def eye(self) -> dict[str, Any]:
        """Return the right eye as the base folds it."""
        eye: dict[str, Any] = casefile.person_file(self.fenn, self.person).fold["eyes"]["R"]
        return eye


@pytest.fixture
def case(hospital: Hospital) -> Case:
    """Return an operated eye whose lens lies at 1250 um."""
    return Case(hospital)


class TestTheFirstOrder:
    """The order that the surgery names is done with."""

    def test_a_new_cycle_may_begin(self, case: Case) -> None:
        """It stands in nobody's way."""
        assert case.eye()["state"] == "followed"
        assert not orders.has_live([case.person], "R")

    def test_is_not_cancelled_any_more(self, case: Case) -> None:
        """Its lens is in the eye."""
        with pytest.raises(Refused) as refused:
            order.cancel(case.fenn, case.first_order, "no longer wanted", PASSPHRASE)
        assert refused.value.code == "order.implanted"

    def test_nothing_more_is_ordered_from_its_approval(self, case: Case) -> None:
        """With a lens in the eye only an exchange is ordered."""
        assert order.place(case.fenn, case.person, "R", case.approval, PASSPHRASE) == (
            case.first_order
        )
        assert len(orders.of_case(case.person, "R")) == 1

    def test_stands_again_once_the_surgery_is_withdrawn(self, case: Case) -> None:
        """It was recorded in error."""
        case.camp.keep(
            "record.void", case.person, "R", {"target": case.vault}, reason="of another eye"
        )
        case.surgeon.keep(
            "record.void", case.person, "R", {"target": case.old}, reason="other person"
        )
        assert case.eye()["state"] == "ordered"
        assert orders.has_live([case.person], "R")


class TestDecided:
    """What the base admits of a decision about the lens in an eye."""

    def test_is_computed_again_and_stands(self, case: Case) -> None:
        """The desk sees it approved, with the check of its calculation."""
        made = case.decide()
        eye = case.eye()
        assert (eye["state"], eye["approval"]["id"]) == ("approved", made)
        assert recheck.checks_of(case.person)[made].is_good

    def test_with_a_corrected_surgery_too(self, case: Case) -> None:
        """Readings that name the earlier record of the surgery are still of this lens."""
        body = surgery(lens=OLD_LENS, order=case.first_order, approval=case.approval,
                       serial="TI-11")  # fmt: skip
        mended = case.surgeon.keep(
            "surgery.implanted", case.person, "R", body, replaces=case.old, reason="misread"
        )
        case.old = mended
        made = case.decide()
        case.eye()
        assert recheck.checks_of(case.person)[made].is_good

    def test_that_shows_something_else_differs(self, case: Case) -> None:
        """A vault expected that nobody calculates stops its order (I4)."""
        shown = case.asked()["shown"]
        observed = {**shown["observed"], "predicted_um": shown["observed"]["predicted_um"] + 40}
        made = case.decide(shown={"observed": observed})
        case.eye()
        assert "observed predicted_um" in recheck.checks_of(case.person)[made].text
        assert case.why_not(made) == "order.plan_differs"

    def test_whose_digest_is_of_something_else(self, case: Case) -> None:
        """What was signed is what was shown (I4)."""
        body = case.decision(digest="0" * 64)
        with pytest.raises(Exception, match="does not belong to what was shown"):
            case.surgeon.record("exchange.decided", case.person, "R", body)

    def test_by_whoever_read_the_vault(self, case: Case) -> None:
        """Nobody decides on their own reading (I3)."""
        case.surgeon.keep(
            "followup.pressure", case.person, "R",
            {"implant": case.old, "iop_dmmHg": 150, "device": "T", "taken": SEEN, "typed": {}},
        )  # fmt: skip
        body = case.decision()
        assert case.refused(case.surgeon, "exchange.decided", body) == "approval.own_reading"

    def test_of_a_surgery_that_is_not_here(self, case: Case) -> None:
        """It waits for it."""
        body = case.decision(implant="0" * 64, shown={"implant": "0" * 64})
        assert case.refused(case.surgeon, "exchange.decided", body) == "implant.unknown"

    def test_with_a_reading_of_the_other_eye(self, case: Case) -> None:
        """I16, I22."""
        fellow = case.surgeon.keep("surgery.implanted", case.person, "L", surgery(serial="TI-9"))
        other = case.camp.keep("followup.vault", case.person, "L", vault(fellow, taken=SEEN))
        followups = sorted([case.vault, other])
        body = case.decision(shown={"followups": followups})
        assert case.refused(case.surgeon, "exchange.decided", body) == "evidence.other"

    def test_with_a_reading_of_the_lens_before(self, case: Case) -> None:
        """A second lens is decided about by its own readings alone (I22)."""
        new = case.operate(**case.exchange_body())
        again = case.see("followup.vault", new, LATER, vault_um=900)
        old_vault, case.old = case.vault, new
        body = case.decision(shown={"followups": sorted([old_vault, again])})
        assert case.refused(case.surgeon, "exchange.decided", body) == "evidence.other_lens"

    def test_about_a_lens_that_is_out(self, case: Case) -> None:
        """It came too late."""
        body = case.decision()
        case.operate(**case.exchange_body())
        assert case.refused(case.surgeon, "exchange.decided", body) == "implant.out"

    def test_not_sure_of_one_of_the_four(self, case: Case) -> None:
        """No operation is decided before."""
        body = case.decision(sure={**SURE, "label": "not_sure"})
        with pytest.raises(Exception, match="Be sure of this first"):
            case.surgeon.record("exchange.decided", case.person, "R", body)


class TestOrdered:
    """An order from a decision, with the safety of a first one."""

    def test_carries_the_decided_lens_byte_for_byte(self, case: Case) -> None:
        """I11."""
        made = case.decide()
        placed = case.place(made)
        found = journal.entries_by_id([made, placed])
        lens = json.loads(found[placed].payload)["body"]["lens"]
        assert b'"lens":' + canonical.encode(lens) in found[made].payload
        assert case.eye()["state"] == "ordered"

    def test_once(self, case: Case) -> None:
        """I2: asked for again it is the same order; another one is refused."""
        made = case.decide()
        assert case.place(made) == case.place(made)
        other = case.decide(who=case.hospital.phone("marsh"))
        assert case.why_not(other) in ("order.not_newest", "order.not_live", "order.twice")
        assert orders.has_live([case.person], "R")

    def test_the_database_itself_refuses_a_second(self, case: Case) -> None:
        """Whatever the rules say (I2)."""
        case.place(case.decide())
        columns = {"number": 99, "approval": "0" * 64, "person": case.person, "eye": "R",
                   "site": "saltpan", "order_id": "0" * 64}  # fmt: skip
        with database.writing(), pytest.raises(Exception, match=r"(?i)unique"):
            orders.place(columns)

    @pytest.mark.parametrize("what", ["observe", "remove"])
    def test_not_from_another_decision(self, case: Case, what: str) -> None:
        """Only an exchange is ordered."""
        assert case.why_not(case.decide(what)) == "order.not_live"

    def test_not_even_by_a_record_of_the_desk(self, case: Case) -> None:
        """Whatever made it: an order rests on a decision to exchange."""
        body = {
            "approval": case.decide("observe"), "digest": "0" * 64, "lens": OLD_LENS,
            "number": "2026-00099",
        }  # fmt: skip
        subject = Subject(case.person, "R", "saltpan")
        with database.writing(), pytest.raises(Refused) as refused:
            desk_record.write(case.fenn, Draft("order.placed", subject, "desk", body))
        assert refused.value.code == "order.not_exchange"

    def test_not_after_a_newer_reading(self, case: Case) -> None:
        """I14."""
        made = case.decide()
        case.see("followup.vault", taken="2026-11-21T08:00:00.000Z", vault_um=1100)
        assert case.why_not(made) == "order.not_live"

    def test_not_after_the_vault_was_withdrawn(self, case: Case) -> None:
        """I7."""
        made = case.decide()
        case.camp.keep("record.void", case.person, "R", {"target": case.vault}, reason="other eye")
        assert case.why_not(made) == "order.not_live"

    def test_not_after_it_was_taken_back(self, case: Case) -> None:
        """I13."""
        made = case.decide()
        case.surgeon.keep(
            "plan.withdrawal", case.person, "R", {"target": made}, reason="on second thought"
        )
        assert case.why_not(made) in ("order.not_live", "order.not_newest")

    def test_not_while_two_surgeons_differ(self, case: Case) -> None:
        """I9."""
        made = case.decide()
        case.decide("observe", case.hospital.phone("marsh"))
        assert case.eye()["state"] == "conflict"
        assert case.why_not(made) in ("order.not_live", "order.not_newest")

    def test_not_after_a_new_catalogue(self, case: Case) -> None:
        """I12."""
        made = case.decide()
        reference.adopt(case.hospital.actor("rook"), "catalogue.adopted",
                        {**CATALOGUE, "title": "Newer"})  # fmt: skip
        assert case.why_not(made) == "order.not_live"

    def test_not_with_a_revoked_key(self, case: Case) -> None:
        """I8."""
        made = case.decide()
        key_authority.revoke(
            case.hospital.actor("rook"), case.surgeon.kid, Revocation("lost", None)
        )
        assert case.why_not(made) == "order.key_revoked"

    def test_says_what_it_rests_on(self, case: Case) -> None:
        """The conditions are the ones of a first order."""
        case.decide()
        told = order.conditions(case.fenn, case.person, "R")
        assert all(isinstance(one, order_conditions.Condition) and one.ok for one in told)

    def test_the_sheet_says_which_lens_comes_out(self, case: Case) -> None:
        """Whoever reads the order knows that it is an exchange."""
        sheet = order.sheet(case.fenn, case.place(case.decide()))
        assert sheet.takes_out is not None
        assert (sheet.takes_out["serial"], sheet.takes_out["lens"]) == ("TI-1", OLD_LENS)


class TestExchanged:
    """A second surgery of an eye."""

    def test_needs_to_name_the_lens_that_it_took_out(self, case: Case) -> None:
        """Two lenses in one eye are a contradiction."""
        body = case.exchange_body(explants=None, explanted_serial=None)
        assert case.refused(case.surgeon, "surgery.implanted", body) == "surgery.twice"

    def test_takes_its_place(self, case: Case) -> None:
        """Linked, and each reading stays with its lens."""
        new = case.operate(**case.exchange_body())
        first, second = case.eye()["surgeries"]
        assert (first["in_eye"], first["next"], second["in_eye"]) == (0, new, 1)
        assert [one["id"] for one in first["followups"]] == [case.vault]

    def test_of_its_order(self, case: Case) -> None:
        """The second cycle is done as the first was."""
        made = case.decide()
        placed = case.place(made)
        case.operate(**case.exchange_body(order=placed, approval=made))
        assert case.eye()["state"] == "implanted"
        assert not orders.has_live([case.person], "R")

    def test_of_its_order_but_another_lens(self, case: Case) -> None:
        """What was decided is taken out, and nothing else."""
        placed = case.place(case.decide())
        case.surgeon.keep("surgery.explanted", case.person, "R", removal(case.old))
        body = case.exchange_body(order=placed, explants=None, explanted_serial=None)
        assert case.refused(case.surgeon, "surgery.implanted", body) == "explants.not_decided"

    def test_a_lens_that_is_not_here(self, case: Case) -> None:
        """It waits for its surgery."""
        body = case.exchange_body(explants="0" * 64)
        code = case.refused(case.surgeon, "surgery.implanted", body)
        assert code in ("explants.unknown", "surgery.twice")

    def test_a_lens_of_the_other_eye(self, case: Case) -> None:
        """I16."""
        fellow = case.surgeon.keep("surgery.implanted", case.person, "L", surgery(serial="TI-9"))
        case.surgeon.keep("surgery.explanted", case.person, "R", removal(case.old))
        body = case.exchange_body(explants=fellow)
        assert case.refused(case.surgeon, "surgery.implanted", body) == "explants.other"

    def test_a_lens_that_is_out_already(self, case: Case) -> None:
        """It cannot come out twice."""
        case.surgeon.keep("surgery.explanted", case.person, "R", removal(case.old))
        body = case.exchange_body()
        assert case.refused(case.surgeon, "surgery.implanted", body) == "explants.out"

    def test_before_it_was_implanted(self, case: Case) -> None:
        """Both days cannot be right."""
        body = case.exchange_body(operated="2026-10-01")
        assert case.refused(case.surgeon, "surgery.implanted", body) == "explants.early"

    @pytest.mark.parametrize("serial", ["TI-8", None])
    def test_another_serial_than_the_recorded_one(self, case: Case, serial: str | None) -> None:
        """A stop, unless somebody writes why (I20)."""
        body = case.exchange_body(explanted_serial=serial)
        assert case.refused(case.surgeon, "surgery.implanted", body) == "explanted.serial"
        case.operate(**{**body, "explanted_reason": "Cut into pieces; the card says TI-1."})

    def test_the_lens_that_came_out_does_not_go_in_again(self, case: Case) -> None:
        """A serial number is implanted once, in whichever eye (I20)."""
        case.operate(**case.exchange_body())
        person = case.camp.register(name="Ines Corvane", birth_year=1980, phone=None)
        (receipt,) = case.surgeon.push(
            case.surgeon.record("surgery.implanted", person, "L", surgery(serial="ti-1"))
        )
        assert receipt.reason is not None
        assert receipt.reason.code == "surgery.serial"

    def test_nor_into_its_own_eye(self, case: Case) -> None:
        """I20."""
        body = case.exchange_body(serial="TI-1")
        assert case.refused(case.surgeon, "surgery.implanted", body) == "surgery.serial"

    def test_a_reading_of_the_old_lens_from_after_it(self, case: Case) -> None:
        """It is of the new one (I22)."""
        case.operate(**case.exchange_body())
        body = vault(case.old, taken=LATER)
        assert case.refused(case.camp, "followup.vault", body) == "implant.out"

    def test_the_first_surgery_is_not_withdrawn_under_it(self, case: Case) -> None:
        """The later record says that its lens was there."""
        case.operate(**case.exchange_body())
        body = {"target": case.old}
        code = case.refused(case.surgeon, "record.void", body, reason="recorded in error")
        assert code == "surgery.linked"

    def test_a_correction_of_the_first_keeps_it_out(self, case: Case) -> None:
        """And one of the second keeps it linked."""
        new = case.operate(**case.exchange_body())
        mended = surgery(lens=OLD_LENS, order=case.first_order, approval=case.approval,
                         serial="TI-10")  # fmt: skip
        case.surgeon.keep(
            "surgery.implanted", case.person, "R", mended, replaces=case.old, reason="misread"
        )
        case.surgeon.keep(
            "surgery.implanted", case.person, "R",
            case.exchange_body(explanted_serial="TI-10", serial="TI-3"),
            replaces=new, reason="misread",
        )  # fmt: skip
        assert [one["in_eye"] for one in case.eye()["surgeries"]] == [0, 1]
        live = [one for one in implants.of_people({case.person}) if one.live]
        assert sorted(one.out_by is None for one in live) == [False, True]

    def test_a_withdrawal_gives_the_old_lens_back(self, case: Case) -> None:
        """The surgery was recorded in error."""
        new = case.operate(**case.exchange_body())
        case.surgeon.keep("record.void", case.person, "R", {"target": new}, reason="in error")
        assert [one["in_eye"] for one in case.eye()["surgeries"]] == [1]
        case.see("followup.vault", taken=LATER, vault_um=1200)

    def test_no_withdrawal_that_leaves_two_orders(self, case: Case) -> None:
        """The first order would stand again beside the second (I2)."""
        case.place(case.decide())
        case.camp.keep("record.void", case.person, "R", {"target": case.vault}, reason="in error")
        code = case.refused(case.surgeon, "record.void", {"target": case.old}, reason="in error")
        assert code == "order.twice"

    def test_an_urgent_reading_is_answered_first(self, case: Case) -> None:
        """A day of exchange before it would end its alarm unanswered (H37)."""
        urgent = case.see("followup.pressure", iop_dmmHg=380, device="Tonometer")
        body = case.exchange_body(operated="2026-11-01")
        assert case.refused(case.surgeon, "surgery.implanted", body) == "urgent.open"
        case.operate(**case.exchange_body())
        assert [(one["reading"], one["open"]) for one in case.eye()["urgent"]] == [(urgent, 1)]

    def test_a_call_is_about_the_lens_in_the_eye(self, case: Case) -> None:
        """Nobody is called for a lens that is out."""
        new = case.operate(**case.exchange_body())
        said = {"how": "phone", "reached": "yes", "text": "Comes on Monday.", "comes_on": None}
        called = recall.keep_contact(case.fenn, case.person, "R", said)
        payload = json.loads(journal.entries_by_id([called])[called].payload)
        assert payload["body"]["implant"] == new


class TestTakenOut:
    """A lens taken out without another one."""

    def test_leaves_the_eye_to_be_planned_again(self, case: Case) -> None:
        """Nothing was cancelled, and nothing stands in the way."""
        case.surgeon.keep("surgery.explanted", case.person, "R", removal(case.old))
        eye = case.eye()
        assert eye["state"] in ("ready", "measuring")
        assert [one["in_eye"] for one in eye["surgeries"]] == [0]

    def test_a_serial_that_differs(self, case: Case) -> None:
        """A stop, unless somebody writes why."""
        body = removal(case.old, serial="TI-8")
        assert case.refused(case.surgeon, "surgery.explanted", body) == "explanted.serial"

    def test_not_in_the_future(self, case: Case) -> None:
        """A day to come is a slip."""
        body = removal(case.old, operated="2099-01-01")
        assert case.refused(case.surgeon, "surgery.explanted", body) == "surgery.future"

    def test_its_withdrawal_after_a_new_lens(self, case: Case) -> None:
        """Then two lenses would lie in the eye."""
        out = case.surgeon.keep("surgery.explanted", case.person, "R", removal(case.old))
        case.operate(serial="TI-2", operated=EXCHANGED_ON)
        code = case.refused(case.surgeon, "record.void", {"target": out}, reason="in error")
        assert code == "surgery.linked"


def removal(implant: str, **changed: object) -> dict[str, Any]:
    """Return the body of a removal."""
    return {
        "implant": implant, "operated": "2026-11-21", "serial": "TI-1", "serial_reason": None,
        "operator": "Dr S. Verrill", "why": "high_vault", "note": None, **changed,
    }  # fmt: skip
