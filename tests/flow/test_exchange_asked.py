"""What the base admits of requests to weigh an exchange, and of decisions on less than it needs."""

import pytest

from tests.answered import SURE
from tests.flow.exchange_case import LATER, SEEN, Case, removal
from tests.flow.surgeries import surgery
from tests.hospital import Hospital, Phone
from webapp.flow import order, recheck
from webapp.flow.refusal import Refused
from webapp.records.errors import BadRecord

ASKED = "exchange.asked"


@pytest.fixture
def case(hospital: Hospital) -> Case:
    """Return an operated eye whose lens lies at 1250 um."""
    return Case(hospital)


def body(case: Case, **changed: object) -> dict[str, object]:
    """Return what is asked about the lens in the eye."""
    return {"implant": case.old, "why": "high_vault", "note": None, **changed}


def ask(case: Case, phone: Phone | None = None, **changed: object) -> str:
    """Ask for an exchange to be weighed; return the record's id."""
    return (phone or case.camp).keep(ASKED, case.person, "R", body(case, **changed))


def waiting(case: Case) -> list[int]:
    """Return for each request whether it is answered."""
    return [one["answered"] for one in case.eye()["exchange"]["asked"]]


class TestAsked:
    """By whom, about which lens."""

    def test_by_the_optometrist_of_the_camp(self, case: Case) -> None:
        """The eye waits for a surgeon."""
        ask(case)
        assert case.eye()["state"] == "exchange_considered"
        assert waiting(case) == [0]

    def test_by_the_desk(self, case: Case) -> None:
        """On a device of theirs."""
        ask(case, case.hospital.phone("fenn"))
        assert waiting(case) == [0]

    def test_not_by_an_optometrist_of_another_camp(self, case: Case) -> None:
        """Only at sites of one's own."""
        phone = case.hospital.phone("quill")
        assert case.refused(phone, ASKED, body(case)) == "site.not_yours"
        assert waiting(case) == []

    def test_about_a_surgery_that_is_not_here(self, case: Case) -> None:
        """It waits for it."""
        assert case.refused(case.camp, ASKED, body(case, implant="9" * 64)) == "implant.unknown"

    def test_about_what_is_no_surgery(self, case: Case) -> None:
        """A reading lies in no eye."""
        assert case.refused(case.camp, ASKED, body(case, implant=case.vault)) == "implant.unknown"

    def test_about_a_lens_that_is_out(self, case: Case) -> None:
        """There is nothing to weigh."""
        case.surgeon.keep("surgery.explanted", case.person, "R", removal(case.old))
        assert case.refused(case.camp, ASKED, body(case)) == "implant.out"

    def test_about_the_lens_of_the_other_eye(self, case: Case) -> None:
        """I16."""
        case.measure("L")
        fellow = case.surgeon.keep("surgery.implanted", case.person, "L", surgery(serial="TI-L"))
        assert case.refused(case.camp, ASKED, body(case, implant=fellow)) == "evidence.other"

    def test_is_withdrawn_by_its_author_alone(self, case: Case) -> None:
        """Somebody else adds a decision, and takes nobody's words away."""
        made = ask(case)
        gone = {"target": made}
        assert case.refused(case.surgeon, "record.void", gone, reason="no") == "target.not_own"
        case.camp.keep("record.void", case.person, "R", gone, reason="the other eye was meant")
        assert waiting(case) == []
        assert case.eye()["state"] == "followed"


class TestAnswered:
    """By a decision that names it."""

    def test_then_nobody_waits(self, case: Case) -> None:
        """And the decision is computed again like any other."""
        made = ask(case)
        decided = case.decide("observe", answers=[made])
        assert waiting(case) == [1]
        recheck.run_waiting_of(case.person)
        assert recheck.checks_of(case.person)[decided].result == recheck.AGREES

    def test_one_that_it_does_not_name(self, case: Case) -> None:
        """It asks again."""
        made = ask(case)
        case.decide("observe", answers=[made])
        again = ask(case, why="angle")
        open_ones = [one["id"] for one in case.eye()["exchange"]["asked"] if not one["answered"]]
        assert open_ones == [again]
        assert case.eye()["state_why"].startswith("Asked to weigh an exchange: angle")

    def test_one_that_is_not_here(self, case: Case) -> None:
        """The decision waits for it."""
        made = case.decision("observe", answers=["9" * 64])
        assert case.refused(case.surgeon, "exchange.decided", made) == "asked.unknown"

    def test_what_is_no_request(self, case: Case) -> None:
        """A reading was not asked."""
        made = case.decision("observe", answers=[case.vault])
        assert case.refused(case.surgeon, "exchange.decided", made) == "asked.unknown"

    def test_what_was_asked_about_the_lens_before(self, case: Case) -> None:
        """It is of another cycle."""
        made = ask(case)
        old = case.old
        case.old = case.operate(**case.exchange_body())
        case.see("followup.vault", implant=case.old, taken=LATER, vault_um=1250)
        late = case.decision("observe", answers=[made])
        assert late["implant"] != old
        assert case.refused(case.surgeon, "exchange.decided", late) == "asked.other_lens"

    def test_what_was_asked_of_the_other_eye(self, case: Case) -> None:
        """I16."""
        made = case.decision("observe")
        case.measure("L")
        lens = case.surgeon.keep("surgery.implanted", case.person, "L", surgery(serial="TI-L"))
        other = case.camp.keep(ASKED, case.person, "L", body(case, implant=lens))
        made["answers"] = [other]
        assert case.refused(case.surgeon, "exchange.decided", made) == "evidence.other"

    def test_an_answer_taken_back(self, case: Case) -> None:
        """Whoever asked waits again."""
        made = case.decide("observe", answers=[ask(case)])
        case.surgeon.keep(
            "plan.withdrawal", case.person, "R", {"target": made}, reason="decided too early"
        )
        assert waiting(case) == [0]


class TestOnLess:
    """Without a vault in dim light: the angle closes, and there is no scan."""

    @pytest.fixture(autouse=True)
    def angle(self, case: Case) -> None:
        """Withdraw the vault, and find the angle closed."""
        case.camp.keep("record.void", case.person, "R", {"target": case.vault}, reason="dilated")
        case.see("followup.angle", method="gonioscopy", grade=0, angle_deg=None)

    @pytest.mark.parametrize("what", ["observe", "remove"])
    def test_is_decided_and_computed_again(self, case: Case, what: str) -> None:
        """The base comes to the same (I4)."""
        made = case.decide(what)
        assert case.eye()["state"] == "exchange_considered"
        recheck.run_waiting_of(case.person)
        check = recheck.checks_of(case.person)[made]
        assert check.result == recheck.AGREES, check.text

    def test_that_hides_what_is_missing_differs(self, case: Case) -> None:
        """A phone that says no caution stands is found out (I25)."""
        shown = case.asked()["shown_without"]
        less = [one for one in shown["findings"] if one["code"] != "E4.less"]
        made = case.decide("remove", shown={"findings": less})
        recheck.run_waiting_of(case.person)
        assert recheck.checks_of(case.person)[made].result == recheck.DIFFERS

    def test_that_claims_a_vault_differs(self, case: Case) -> None:
        """No vault is on record."""
        found = {**case.asked()["shown_without"]["observed"], "vault_um": 500}
        made = case.decide("observe", shown={"observed": found})
        recheck.run_waiting_of(case.person)
        assert recheck.checks_of(case.person)[made].result == recheck.DIFFERS

    def test_no_turn(self, case: Case) -> None:
        """It is reckoned from what is missing."""
        with pytest.raises(BadRecord, match="Nothing was reckoned"):
            case.decide("remove", decision="turn")

    def test_not_without_being_sure(self, case: Case) -> None:
        """Taking it out is an operation."""
        with pytest.raises(BadRecord, match="Be sure of this first"):
            case.decide("remove", sure={**SURE, "eye": "not_sure"})

    def test_nothing_is_ordered_from_it(self, case: Case) -> None:
        """Only an exchange is."""
        made = case.decide("remove")
        with pytest.raises(Refused):
            order.place(case.fenn, case.person, "R", made, "wrong or right")

    def test_not_by_whoever_saw_it(self, case: Case) -> None:
        """I3."""
        seen = {"method": "gonioscopy", "grade": 1, "angle_deg": None, "implant": case.old,
                "taken": SEEN, "typed": {}}  # fmt: skip
        case.surgeon.keep("followup.angle", case.person, "R", seen)
        made = case.decision("remove")
        assert case.refused(case.surgeon, "exchange.decided", made) == "approval.own_reading"
