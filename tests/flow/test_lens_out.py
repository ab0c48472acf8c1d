"""One lens out of an eye: with another one in its place, or without."""

import json

import pytest

from tests.flow.exchange_case import EXCHANGED_ON, LATER, OLD_LENS, Case, removal
from tests.flow.surgeries import surgery, vault
from tests.hospital import Hospital
from webapp.flow import recall
from webapp.store import journal
from webapp.store.projections import implants, orders


@pytest.fixture
def case(hospital: Hospital) -> Case:
    """Return an operated eye whose lens lies at 1250 um."""
    return Case(hospital)


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
        """It waits for its surgery, and so does a removal."""
        case.surgeon.keep("surgery.explanted", case.person, "R", removal(case.old))
        body = case.exchange_body(explants="0" * 64)
        assert case.refused(case.surgeon, "surgery.implanted", body) == "explants.unknown"
        body = removal("0" * 64)
        assert case.refused(case.surgeon, "surgery.explanted", body) == "implant.unknown"

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
