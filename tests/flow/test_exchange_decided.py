"""What the base admits of a decision about the lens in an eye."""

import pytest

from tests.answered import SURE
from tests.flow.exchange_case import LATER, OLD_LENS, SEEN, Case
from tests.flow.surgeries import surgery, vault
from tests.hospital import Hospital
from webapp.demo_people import PASSPHRASE
from webapp.flow import order, recheck
from webapp.flow.refusal import Refused
from webapp.store import journal
from webapp.store.projections import orders


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

    def test_of_a_surgery_that_was_withdrawn(self, case: Case) -> None:
        """It was recorded in error, and lies in no eye."""
        body = case.decision()
        for target, who in ((case.vault, case.camp), (case.old, case.surgeon)):
            who.keep("record.void", case.person, "R", {"target": target}, reason="in error")
        assert case.refused(case.surgeon, "exchange.decided", body) == "implant.withdrawn"

    def test_with_what_is_no_reading_after_surgery(self, case: Case) -> None:
        """A reading of the natural eye is none of this lens (I22)."""
        before = case.asked()["shown"]["evidence"]
        named = next(one for one in before if journal.facts({one})[one].eye == "R")
        body = case.decision(shown={"followups": sorted([case.vault, named])})
        assert case.refused(case.surgeon, "exchange.decided", body) == "evidence.other"

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
