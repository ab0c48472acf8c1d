"""Two lenses of one eye and one time: what comes late, and what no correction may say."""

from typing import Any

import pytest

from tests.flow.exchange_case import EXCHANGED_ON, OLD_LENS, Case, removal
from tests.flow.surgeries import surgery
from tests.hospital import Hospital


@pytest.fixture
def case(hospital: Hospital) -> Case:
    """Return an operated eye whose lens lies at 1250 um."""
    return Case(hospital)


class TestCameLate:
    """The record of an older surgery that arrives after that of a later one (I2)."""

    def older(self, **changed: object) -> dict[str, Any]:
        """Return a surgery from before the one that is here."""
        lens = {"serial": "TI-0", "operated": "2026-09-01", "lens": OLD_LENS}
        return surgery(**{**lens, **changed})

    def test_is_taken_and_contradicts(self, case: Case) -> None:
        """Nothing is lost, and nothing goes on before somebody says how it came out."""
        late = case.operate(**self.older())
        eye = case.eye()
        assert [one["id"] for one in eye["surgeries"]] == [late, case.old]
        assert eye["state"] == "conflict"
        assert "E1.two_lenses" in {one["code"] for one in eye["findings"]}

    def test_nothing_else_is_implanted_meanwhile(self, case: Case) -> None:
        """Which lens a third one would take out is not known."""
        case.operate(**self.older())
        body = case.exchange_body()
        assert case.refused(case.surgeon, "surgery.implanted", body) == "surgery.twice"
        assert case.refused(case.surgeon, "surgery.implanted", self.older(
            operated="2026-10-01", serial="TI-7")) == "surgery.twice"  # fmt: skip

    def test_ends_by_its_removal(self, case: Case) -> None:
        """Recorded later still."""
        late = case.operate(**self.older())
        out = removal(late, operated="2026-10-01", serial="TI-0")
        case.surgeon.keep("surgery.explanted", case.person, "R", out)
        assert case.eye()["state"] == "followed"
        case.operate(**case.exchange_body())

    def test_ends_by_the_correction_of_the_later_one(self, case: Case) -> None:
        """Which took it out, as its author now says; its readings stay with it."""
        late = case.operate(**self.older())
        body = surgery(
            lens=OLD_LENS, order=case.first_order, approval=case.approval, serial="TI-1",
            explants=late, explanted_serial="TI-0", explanted_reason=None,
        )  # fmt: skip
        case.surgeon.keep(
            "surgery.implanted", case.person, "R", body, replaces=case.old, reason="a lens was in"
        )
        first, second = case.eye()["surgeries"]
        assert (first["in_eye"], second["in_eye"]) == (0, 1)
        assert [one["id"] for one in second["followups"]] == [case.vault]

    def test_is_mended_meanwhile(self, case: Case) -> None:
        """A correction that settles nothing is no new contradiction."""
        late = case.operate(**self.older())
        case.surgeon.keep(
            "surgery.implanted", case.person, "R", self.older(note="From the other ledger"),
            replaces=late, reason="note",
        )  # fmt: skip
        assert case.eye()["state"] == "conflict"

    def test_ends_by_its_own_withdrawal(self, case: Case) -> None:
        """It was of another person."""
        late = case.operate(**self.older())
        case.surgeon.keep("record.void", case.person, "R", {"target": late}, reason="other person")
        assert case.eye()["state"] == "followed"

    def test_the_other_way_round_the_later_one_is_refused(self, case: Case) -> None:
        """Its author is told at once, and names the lens."""
        body = case.exchange_body(explants=None, explanted_serial=None)
        assert case.refused(case.surgeon, "surgery.implanted", body) == "surgery.twice"

    def test_not_while_the_other_lens_lay_in_the_eye(self, case: Case) -> None:
        """It was taken out the day after this one is said to have been implanted."""
        case.surgeon.keep("surgery.explanted", case.person, "R", removal(case.old))
        body = surgery(serial="TI-2", operated="2026-11-20")
        assert case.refused(case.surgeon, "surgery.implanted", body) == "surgery.twice"
        case.operate(serial="TI-2", operated="2026-11-21")

    def test_no_correction_makes_a_surgery_older_than_one_that_stands(self, case: Case) -> None:
        """What was recorded as the later one is the later one."""
        case.surgeon.keep("surgery.explanted", case.person, "R", removal(case.old))
        new = case.operate(serial="TI-2", operated="2026-11-21")
        body = surgery(serial="TI-2", operated="2026-10-01")
        code = case.refused(
            case.surgeon, "surgery.implanted", body, replaces=new, reason="misread"
        )  # fmt: skip
        assert code == "surgery.twice"


class TestCorrected:
    """What a correction of a surgery or a removal may say."""

    @pytest.mark.parametrize("serial", ["TI-1", "TI-11"])
    def test_no_lens_takes_its_own_place(self, case: Case, serial: str) -> None:
        """The record that is corrected is of the same lens."""
        body = surgery(
            lens=OLD_LENS, order=case.first_order, approval=case.approval, serial=serial,
            explants=case.old, explanted_serial="TI-1", explanted_reason=None,
        )  # fmt: skip
        envelope = case.surgeon.record(
            "surgery.implanted", case.person, "R", body, replaces=case.old, reason="misread"
        )
        (receipt,) = case.surgeon.push(envelope)
        assert receipt.reason is not None
        assert (receipt.reason.code, receipt.reason.field) == ("explants.itself", "explants")

    def test_a_removal_under_a_later_lens(self, case: Case) -> None:
        """Its note is mended; the lens stays out."""
        out = case.surgeon.keep("surgery.explanted", case.person, "R", removal(case.old))
        case.operate(serial="TI-2", operated=EXCHANGED_ON)
        case.surgeon.keep(
            "surgery.explanted", case.person, "R", removal(case.old, note="In two pieces"),
            replaces=out, reason="note",
        )  # fmt: skip
        assert [one["in_eye"] for one in case.eye()["surgeries"]] == [0, 1]

    def test_a_removal_moved_past_a_later_lens(self, case: Case) -> None:
        """Then two would have lain in the eye together."""
        out = case.surgeon.keep("surgery.explanted", case.person, "R", removal(case.old))
        case.operate(serial="TI-2", operated=EXCHANGED_ON)
        body = removal(case.old, operated="2026-11-24")
        code = case.refused(case.surgeon, "surgery.explanted", body, replaces=out, reason="misread")
        assert code == "surgery.linked"

    def test_an_order_brings_one_lens(self, case: Case) -> None:
        """The second surgery did not implant what the first one did."""
        body = case.exchange_body(order=case.first_order, approval=case.approval)
        assert case.refused(case.surgeon, "surgery.implanted", body) == "order.implanted"
