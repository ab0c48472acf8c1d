"""The desk's pages of an eye for which an exchange was asked for, or lacks what one needs."""

import pytest

from tests.desk.exchange_pages import page
from tests.flow.exchange_case import EXCHANGED_ON, LATER, Case
from tests.hospital import WALL, Hospital
from webapp.desk.moments import moment
from webapp.store.projections import case_lists

NOTE = "She sees rings at night."


@pytest.fixture
def case(hospital: Hospital) -> Case:
    """Return an operated eye whose lens lies at 1250 um."""
    return Case(hospital)


def ask(case: Case) -> str:
    """Ask for an exchange at the camp."""
    body = {"implant": case.old, "why": "high_vault", "note": NOTE}
    return case.camp.keep("exchange.asked", case.person, "R", body)


def test_who_asked_and_why(case: Case) -> None:
    """On the eye's page, until a decision answers it."""
    made = ask(case)
    text = page(case, f"/desk/case/{case.person}/R")
    assert "Asked to weigh an exchange</strong> by R. Ambler" in text
    assert NOTE in text
    case.decide("observe", answers=[made])
    assert "Asked to weigh an exchange</strong>" not in page(case, f"/desk/case/{case.person}/R")


def test_the_worklist_says_whose_turn_it_is(case: Case) -> None:
    """A surgeon's, to weigh it, until one has decided."""
    made = ask(case)
    text = page(case, "/desk/")
    assert "Weigh an exchange, right eye." in text
    assert "Exchange asked for: vault too high" in text
    case.decide("observe", answers=[made])
    assert "Weigh an exchange" not in page(case, "/desk/")


def test_what_should_not_wait_stands_on_top(case: Case) -> None:
    """A vault too high, above the steps, with since when it waits; a wish is no such thing."""
    body = {"implant": case.old, "why": "patient", "note": None}
    first = case.camp.keep("exchange.asked", case.person, "R", body)
    assert "Exchange asked for." not in page(case, "/desk/")
    made = ask(case)
    text = page(case, "/desk/")
    assert text.index("Exchange asked for.") < text.index('aria-label="Eyes by step"')
    assert f"Asked {moment(WALL)}; no surgeon has decided yet. Saltpan camp: " in text
    case.decide("observe", answers=sorted([first, made]))
    assert "Exchange asked for." not in page(case, "/desk/")


def test_a_wish_asked_since_does_not_speak_for_it(case: Case) -> None:
    """What is said on top is why it should not wait."""
    ask(case)
    body = {"implant": case.old, "why": "patient", "note": None}
    case.camp.keep("exchange.asked", case.person, "R", body, wall="2026-11-26T08:00:00.000Z")
    top = page(case, "/desk/").split('aria-label="Eyes by step"')[0]
    assert "vault too high" in top


def test_an_exchange_decided_before_hides_nothing(case: Case) -> None:
    """What is asked after it is no less urgent, while it stands and after it fell."""
    case.decide()
    made = ask(case)
    assert case.eye()["state"] == "approved"
    assert "Exchange asked for." in page(case, "/desk/")
    case.see("followup.vault", taken=LATER, vault_um=1300)
    assert case.eye()["state"] == "stale"
    assert "Exchange asked for." in page(case, "/desk/")
    case.decide(answers=[made])
    assert "Exchange asked for." not in page(case, "/desk/")


def test_a_long_list_hides_nobody(case: Case, monkeypatch: pytest.MonkeyPatch) -> None:
    """What came last stands last among hundreds of lenses that are watched; it is listed."""
    lines = case_lists.lines
    monkeypatch.setattr(
        case_lists, "lines", lambda wanted, limit: lines(wanted, limit)[: 0 if limit else None]
    )
    ask(case)
    assert "Exchange asked for." in page(case, "/desk/")


def test_nobody_is_told_to_weigh_what_is_ordered(case: Case) -> None:
    """While an order stands there is nothing to decide."""
    case.place(case.decide())
    ask(case)
    assert "Weigh an exchange, right eye." not in page(case, "/desk/")


def test_what_an_exchange_lacks(case: Case) -> None:
    """The page of an operated eye never turns into the plan of a natural one."""
    case.camp.keep("record.void", case.person, "R", {"target": case.vault}, reason="dilated")
    text = page(case, f"/desk/case/{case.person}/R")
    assert "An exchange cannot be reckoned; missing: Vault in dim light." in text
    assert "Predicted vault" not in text


def test_a_call_after_an_exchange(case: Case) -> None:
    """One lens lies in the eye, so a call is about that one."""
    case.operate(**case.exchange_body(operated=EXCHANGED_ON))
    assert "Keep this call" in page(case, f"/desk/recall/{case.person}/R")


class TestAskedAtTheDesk:
    """By whoever answers the telephone."""

    def test_is_kept(self, case: Case) -> None:
        """With why and a note; then it stands on the page of the eye."""
        desk = case.hospital.client("fenn")
        address = f"/desk/exchange/{case.person}/R"
        desk.get(address)
        assert desk.post(address, {"note": "She rang."}).status_code == 422
        desk.get(address)
        assert desk.post(address, {"why": "other", "note": ""}).status_code == 409
        desk.get(address)
        assert desk.post(address, {"why": "refraction", "note": "She rang."}).status_code == 302
        (asked,) = case.eye()["exchange"]["asked"]
        assert (asked["why"], asked["note"], asked["author"]) == (
            "refraction", "She rang.", "u-fenn",
        )  # fmt: skip
        assert "by L. Fenn" in page(case, f"/desk/case/{case.person}/R")

    def test_not_of_an_eye_without_a_lens(self, case: Case) -> None:
        """There is nothing to weigh."""
        desk = case.hospital.client("fenn")
        address = f"/desk/exchange/{case.person}/L"
        assert "nothing can be weighed" in desk.get(address).text
        assert desk.post(address, {"why": "angle"}).status_code == 409

    def test_not_at_another_camp(self, case: Case) -> None:
        """Nobody asks about whom they do not see."""
        elsewhere = case.hospital.client("quill")
        address = f"/desk/exchange/{case.person}/R"
        assert elsewhere.get(address).status_code == 404
        assert elsewhere.post(address, {"why": "angle"}).status_code in (403, 404)
        assert case.eye()["exchange"]["asked"] == []
