"""An order at the supplier, at the desk: typed from paper, compared, and asked after when late."""

import re
from html import unescape
from typing import Any

import pytest

from tests.desk.conftest import Desk, ReadyCase
from tests.hospital import Hospital
from webapp.core import limits
from webapp.demo_people import PASSPHRASE
from webapp.desk.moments import day
from webapp.flow import clock, permissions, reference

TODAY = clock.today()
LENS = re.compile(r"<p class=\"t-figure\">(.*?)</p>", re.DOTALL)


class Placed:
    """An ordered right eye and what is typed of its order."""

    def __init__(self, desk: Desk, case: ReadyCase) -> None:
        self.desk, self.case = desk, case
        self.page: str = case.order(desk).location

    def typed(self, **changed: str) -> dict[str, str]:
        """Return what a confirmation of just what was ordered makes one type."""
        lens = self.desk.get(f"{self.page}.json").json["lens"]
        return {
            "for_eye": "R", "model": lens["model"], "sphere_cD": f"{lens['sphere_cD'] / 100:+.2f}",
            "cylinder_cD": "0", "axis_deg": "", "length_um": f"{lens['length_um'] / 1000:.2f}",
            "reference": "R-77", "confirmed_on": TODAY, "expected_on": "", "corrects": "",
            "passphrase": PASSPHRASE, **changed,
        }  # fmt: skip

    def confirm(self, **changed: str) -> Any:  # noqa: ANN401
        """Open the form and send it."""
        page = self.desk.get(f"{self.page}/confirmation").text
        standing = re.search(r'name="corrects" type="hidden" value="([^"]*)"', page)
        corrects = standing[1] if standing else ""
        fields = self.typed(corrects=corrects, **changed)
        return self.desk.post(f"{self.page}/confirmation", **fields)

    def cancel(self) -> Any:  # noqa: ANN401
        """Send a cancellation without a passphrase."""
        self.read()
        return self.desk.post(f"{self.page}/cancel", reason="Not wanted any more", passphrase="")

    def read(self) -> str:
        """Return the order's page."""
        return unescape(self.desk.get(self.page).text)


@pytest.fixture
def placed(desk: Desk, case: ReadyCase) -> Placed:
    """Return an ordered eye."""
    return Placed(desk, case)


class TestConfirmation:
    """Typed, never prefilled, compared field by field."""

    def test_the_form_holds_nothing_of_the_order(self, placed: Placed) -> None:
        """What was ordered is not there to be copied, neither in a field nor beside it."""
        lens = placed.typed()
        page = unescape(placed.desk.get(f"{placed.page}/confirmation").text)
        for name in ("model", "sphere_cD", "cylinder_cD", "length_um", "reference"):
            field = re.search(rf'<input[^>]* name="{name}"[^>]*>', page)
            assert field is not None and 'value=""' in field[0]
        assert "checked" not in page
        assert lens["length_um"] not in page
        assert lens["sphere_cD"].strip("+-") not in page

    def test_that_agrees(self, placed: Placed) -> None:
        """The order is confirmed, the reference its own."""
        assert placed.confirm(expected_on="2026-12-05").status_code == 302
        page = placed.read()
        assert "confirmed by the supplier, expected 5 Dec 2026" in page
        assert "differs" not in page
        assert "Supplier’s reference</dt><dd>R-77" in page

    @pytest.mark.parametrize(
        ("field", "said"),
        [("length_um", "13.50"), ("sphere_cD", "+1.00"), ("model", "Model Z"), ("for_eye", "L")],
    )
    def test_that_differs_stops(self, placed: Placed, field: str, said: str) -> None:
        """Both values stand side by side, and there is no way to take the other lens."""
        assert placed.confirm(**{field: said}).status_code == 302
        page = placed.read()
        assert page.count("differs</strong>") == 1
        assert "The supplier confirmed something else" in page
        assert "It was shipped" not in page and "The lens is here" not in page
        assert placed.desk.post(f"{placed.page}/received", received_on=TODAY).status_code == 422
        assert "Overrid" not in page and "Accept" not in page

    def test_the_suppliers_correction_ends_it(self, placed: Placed) -> None:
        """Asked why there is another one; then the order goes on."""
        placed.confirm(length_um="13.50")
        assert placed.confirm().status_code == 422
        assert placed.confirm(correction="typing").status_code == 422
        assert placed.confirm(correction="supplier").status_code == 302
        assert "The lens is here" in placed.read()

    def test_a_page_read_before_somebody_elses_confirmation(self, placed: Placed) -> None:
        """The form names what stood when it was opened."""
        placed.desk.get(f"{placed.page}/confirmation")
        fields = placed.typed()
        placed.confirm(length_um="13.50")
        answer = placed.desk.post(f"{placed.page}/confirmation", **fields)
        assert answer.status_code == 422
        assert "Another confirmation of this order is here by now" in answer.text

    @pytest.mark.parametrize(
        ("field", "said", "words"),
        [
            ("sphere_cD", "10.50", "needs its sign"),
            ("length_um", "12,5", "not a number here"),
            ("axis_deg", "90", "Without a cylinder there is no axis"),
            ("confirmed_on", "2099-01-01", "still to come"),
            ("confirmed_on", "2020-01-01", "before that"),
            ("expected_on", "2099-01-01", "more than a year"),
            ("passphrase", "not this one", "passphrase"),
            ("model", "", "Type the model"),
        ],
    )
    def test_what_cannot_be_is_refused_beside_its_field(
        self, placed: Placed, field: str, said: str, words: str
    ) -> None:
        """Nothing is recorded, and what was typed stays."""
        answer = placed.confirm(**{field: said})
        assert answer.status_code == 422
        assert words in unescape(answer.text)
        assert f'id="{field}-error"' in answer.text
        assert 'value="R-77"' in answer.text
        assert "No confirmation yet" in placed.read()

    @pytest.mark.parametrize("act", ["cancel", "confirmation"])
    def test_a_passphrase_where_the_table_of_permissions_says_so(
        self, placed: Placed, act: str
    ) -> None:
        """What ends or confirms an order is signed for; what only follows it is not (test_both)."""
        fresh = {
            route: bool(permissions._TABLE["actions"][action].get("fresh"))
            for route, action in permissions._ROUTES.items()
            if route.startswith("POST /desk/order/<string(length=64):order_id>/")
        }
        asked = {route.rsplit("/", 1)[1] for route, is_fresh in fresh.items() if is_fresh}
        assert act in asked
        assert not asked & {"print", "received", "shipped", "reference"}
        answer = placed.confirm(passphrase="") if act == "confirmation" else placed.cancel()
        assert answer.status_code == 422
        assert "No confirmation yet" in placed.read()

    def test_not_by_a_surgeon(self, placed: Placed, hospital: Hospital) -> None:
        """Read by all of the site, typed by the desk."""
        surgeon = Desk(hospital.client("verrill"))
        assert "typed by the base desk" in surgeon.get(f"{placed.page}/confirmation").text
        answer = surgeon.post(f"{placed.page}/confirmation", **placed.typed())
        assert answer.status_code == 403


class TestForwards:
    """Shipped and arrived."""

    def test_both(self, placed: Placed) -> None:
        """Each is said on the page, once."""
        placed.read()
        assert placed.desk.post(f"{placed.page}/shipped", shipped_on=TODAY).status_code == 302
        assert f"shipped {day(TODAY)}" in placed.read()
        assert placed.desk.post(f"{placed.page}/received", received_on=TODAY).status_code == 302
        page = placed.read()
        assert f"arrived {day(TODAY)}" in page
        assert "The lens is here" not in page
        again = placed.desk.post(f"{placed.page}/received", received_on=TODAY)
        assert again.status_code == 422 and "has arrived already" in again.text

    def test_a_day_is_needed(self, placed: Placed) -> None:
        """No day is filled in."""
        placed.read()
        assert placed.desk.post(f"{placed.page}/shipped").status_code == 422
        assert "No confirmation yet" in placed.read()


def test_cancelling_a_confirmed_order_asks_for_the_suppliers_answer(placed: Placed) -> None:
    """It may be on its way (I26)."""
    placed.confirm()
    assert "What the supplier answered" in placed.read()
    words = {"reason": "Moved away", "passphrase": PASSPHRASE}
    answer = placed.desk.post(f"{placed.page}/cancel", **words)
    assert answer.status_code == 422 and "The order still stands" in answer.text
    placed.desk.post(f"{placed.page}/cancel", supplier_reply="Taken back.", **words)
    assert "This order is cancelled" in placed.read()


class TestLate:
    """Who has to be asked."""

    def test_an_order_past_its_day(self, placed: Placed, monkeypatch: pytest.MonkeyPatch) -> None:
        """On the worklist, under its own filter and on the order's page; gone when it is here."""
        placed.confirm(expected_on="2026-12-05")
        assert "Orders late" in placed.desk.get("/desk/").text
        assert "No order is late" in placed.desk.get("/desk/?late=1").text
        monkeypatch.setattr(clock, "today", lambda: "2099-01-01")
        listed = unescape(placed.desk.get("/desk/?late=1").text)
        assert "Ask the supplier for the lens of the right eye." in listed
        assert "Late. Expected 5 Dec 2026" in listed
        assert "Do not order again: this order stands." in placed.read()
        placed.desk.post(f"{placed.page}/received", received_on=TODAY)
        assert "No order is late" in placed.desk.get("/desk/?late=1").text

    def test_by_the_limits_of_the_centre(
        self, placed: Placed, hospital: Hospital, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """How long an order may stay unconfirmed is adopted with the other limits."""
        year = clock.today()[:4]
        monkeypatch.setattr(clock, "today", lambda: f"{int(year) + 1}-01-01")
        assert "not confirmed" in placed.read()
        values = {**limits.defaults(), "order_confirm_days": 9000, "order_arrive_days": 9000}
        reference.adopt(hospital.actor("rook"), "limits.adopted", {"title": "T", "values": values})
        assert "Do not order again" not in placed.read()
