"""Ordering at the desk: what was approved, once, by a person who signs for it."""

from html import unescape

import pytest

from tests.desk.conftest import Desk, ReadyCase
from tests.hospital import Hospital, width_body
from webapp.demo_people import PASSPHRASE
from webapp.flow import device_list


class TestPlace:
    """From a live approval to an order."""

    def test_the_conditions_are_shown_as_they_are_now(self, desk: Desk, case: ReadyCase) -> None:
        """The conditions hold, the button names the eye, and the lens can't be typed."""
        page = unescape(desk.get(case.page).text)
        assert page.count('<li class="holds">') == 6
        assert "Place order for the right eye" in page
        assert 'name="sphere' not in page

    def test_a_silent_device_of_the_camp_is_named_beside_the_order(
        self, desk: Desk, case: ReadyCase, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """What lies on a silent phone can't make an approval stale, so the person must know."""
        assert "a newer reading may wait on it" not in desk.get(case.page).text
        heard = device_list.listing
        monkeypatch.setattr(
            device_list,
            "listing",
            lambda actor: [row._replace(hours_silent=12) for row in heard(actor)],
        )
        page = desk.get(case.page).text
        assert page.count("a newer reading may wait on it") == 2
        assert "Place order for the right eye" in page

    def test_places_it_with_the_reference(self, desk: Desk, case: ReadyCase) -> None:
        """The order has the approved lens and the supplier's reference."""
        placed = case.order(desk, supplier_reference="TI-77")
        assert placed.status_code == 302
        page = unescape(desk.get(placed.location).text)
        assert '<div class="eye-band right" role="group" aria-label="Right eye, OD">' in page
        assert "This order stands" in page
        assert "TI-77" in page
        assert "Approved</dt><dd>Dr S. Verrill" in page
        assert "Ordered</dt><dd>L. Fenn" in page
        assert "Ordered" in desk.get(case.page).text

    def test_a_wrong_passphrase_orders_nothing(self, desk: Desk, case: ReadyCase) -> None:
        """The page comes back, keeps the reference, and the eye is still only approved."""
        answer = case.order(desk, passphrase="not this one", supplier_reference="TI-77")
        assert answer.status_code == 422
        assert 'value="TI-77"' in answer.text and "not this one" not in answer.text
        assert 'id="passphrase-error"' in answer.text
        assert "Place order for the right eye" in desk.get(case.page).text

    def test_a_newer_reading_stops_it(self, desk: Desk, case: ReadyCase) -> None:
        """A reading that arrives while the page is open makes the order impossible, in words."""
        desk.get(case.page)
        case.camp.keep("reading.white_to_white", case.person, "R", width_body(12100))
        fields = {"approval": case.approval, "passphrase": PASSPHRASE}
        answer = desk.post(f"{case.page}/order", **fields)
        page = unescape(answer.text)
        assert answer.status_code == 409
        assert "The order was not placed" in page
        assert "The approval no longer stands" in page
        assert "Place order for the right eye" not in page

    def test_a_reference_in_use_orders_nothing(self, desk: Desk, case: ReadyCase) -> None:
        """Whoever reads that it was not possible must not have ordered a lens by it."""
        case.order(desk, supplier_reference="TI-77")
        second = case.another()
        answer = second.order(desk, supplier_reference="TI-77")
        assert answer.status_code == 422
        assert "Another order carries this reference" in answer.text
        assert 'value="TI-77"' in answer.text
        assert "Place order for the right eye" in desk.get(second.page).text

    def test_an_accent_typed_apart_is_the_same_letter(self, desk: Desk, case: ReadyCase) -> None:
        """Some keyboards send a letter and its accent apart; a record keeps them as one."""
        placed = case.order(desk, supplier_reference="Cafe\N{COMBINING ACUTE ACCENT} 7")
        assert placed.status_code == 302
        page = unescape(desk.get(placed.location).text)
        assert "Caf\N{LATIN SMALL LETTER E WITH ACUTE} 7" in page

    def test_twice_is_once(self, desk: Desk, case: ReadyCase) -> None:
        """A form sent twice leads to the same order."""
        first = case.order(desk)
        fields = {"approval": case.approval, "passphrase": PASSPHRASE}
        assert desk.post(f"{case.page}/order", **fields).location == first.location

    def test_the_surgeon_reads_and_cannot_order(self, hospital: Hospital, case: ReadyCase) -> None:
        """A surgeon sees the case without a form, and a forged form is refused."""
        surgeon = Desk(hospital.client("verrill"))
        assert "Orders are placed by the base desk." in surgeon.get(case.page).text
        fields = {"approval": case.approval, "passphrase": PASSPHRASE}
        assert surgeon.post(f"{case.page}/order", **fields).status_code in (403, 404, 409)
        assert "Ordered" not in surgeon.get(case.page).text


class TestCancel:
    """Ending an order."""

    def test_needs_a_reason_and_the_person(self, desk: Desk, case: ReadyCase) -> None:
        """Without a reason or with a wrong passphrase the order stands."""
        address = case.order(desk).location
        desk.get(address)
        no_reason = desk.post(f"{address}/cancel", reason=" ", passphrase=PASSPHRASE)
        wrong = desk.post(f"{address}/cancel", reason="Moved away", passphrase="not this one")
        assert (no_reason.status_code, wrong.status_code) == (422, 422)
        assert "Moved away" in wrong.text
        assert "This order stands" in desk.get(address).text

    def test_is_shown_with_its_reason_and_can_be_ordered_no_more(
        self, desk: Desk, case: ReadyCase
    ) -> None:
        """A cancelled order says so, offers nothing to change, and its sheet is void."""
        address = case.order(desk).location
        desk.get(address)
        desk.post(f"{address}/cancel", reason="Moved away", passphrase=PASSPHRASE)
        page = unescape(desk.get(address).text)
        assert "This order is cancelled" in page and "“Moved away”" in page
        assert "Print the order sheet" not in page
        assert "Cancelled" in desk.get(case.page).text

    def test_a_reason_that_no_record_keeps_comes_back(self, desk: Desk, case: ReadyCase) -> None:
        """A hidden character is said beside the field, and what was typed is still there."""
        address = case.order(desk).location
        desk.get(address)
        fields = {"reason": "Wrong\tsupplier", "passphrase": PASSPHRASE}
        answer = desk.post(f"{address}/cancel", **fields)
        assert answer.status_code == 422
        assert 'id="reason-error"' in answer.text and "Wrong\tsupplier" in answer.text
        assert "This order stands" in desk.get(address).text


class TestReference:
    """The supplier's number."""

    def test_is_kept_and_an_empty_one_is_not(self, desk: Desk, case: ReadyCase) -> None:
        """An empty or too long reference is said; a good one is shown."""
        address = case.order(desk).location
        desk.get(address)
        for bad in ("", "x" * 61):
            answer = desk.post(f"{address}/reference", supplier_reference=bad)
            assert answer.status_code == 422
        desk.post(f"{address}/reference", supplier_reference="TI-9001")
        assert "TI-9001" in desk.get(address).text

    def test_one_in_use_is_said_beside_the_field(self, desk: Desk, case: ReadyCase) -> None:
        """The page comes back with what was typed."""
        case.order(desk, supplier_reference="TI-77")
        address = case.another().order(desk).location
        desk.get(address)
        answer = desk.post(f"{address}/reference", supplier_reference="TI-77")
        assert answer.status_code == 422
        assert 'id="supplier_reference-error"' in answer.text and 'value="TI-77"' in answer.text
