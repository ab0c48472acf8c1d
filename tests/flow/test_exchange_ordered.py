"""An order from a decision to exchange, with the safety of a first one."""

import json

import pytest

from tests.flow.exchange_case import OLD_LENS, Case
from tests.hospital import CATALOGUE, Hospital
from webapp.flow import desk_record, key_authority, order, order_conditions, reference
from webapp.flow.desk_record import Draft
from webapp.flow.key_authority import Revocation
from webapp.flow.refusal import Refused
from webapp.records import canonical
from webapp.records.draft import Subject
from webapp.store import database, journal
from webapp.store.projections import orders


@pytest.fixture
def case(hospital: Hospital) -> Case:
    """Return an operated eye whose lens lies at 1250 um."""
    return Case(hospital)


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
