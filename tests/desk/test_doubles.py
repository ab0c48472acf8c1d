"""The desk sees who may be registered twice and says whether they are; camps stay apart."""

from html import unescape

from tests.desk.conftest import Desk, ReadyCase
from tests.hospital import Hospital
from webapp.demo_people import PASSPHRASE


def test_the_desk_compares_and_then_orders(hospital: Hospital, desk: Desk, case: ReadyCase) -> None:
    """Shown with points and reasons; answered once with the passphrase; then ordered."""
    other = hospital.phone("quill", "upper-glen").register()
    page = f"/desk/person/{case.person}"
    shown = unescape(desk.get(page).text)
    assert "May be registered twice" in shown
    assert "Upper Glen camp: 95 of 100" in shown
    assert "the same phone" in shown
    assert case.order(desk).status_code == 409
    desk.get(page)
    wrong = desk.post(f"{page}/compare", other=other, answer="different", passphrase="not it")
    assert wrong.status_code == 422
    desk.get(page)
    fields = {"other": other, "answer": "different", "passphrase": PASSPHRASE}
    assert desk.post(f"{page}/compare", **fields).status_code == 302
    assert "two people" in desk.get(page).text
    assert case.order(desk).status_code == 302


def test_nothing_of_another_camp_is_shown_to_who_does_not_work_there(
    hospital: Hospital, case: ReadyCase
) -> None:
    """The optometrist of one camp reads the place and the reasons, not the person."""
    hospital.phone("quill", "upper-glen").register(name="Orla Fenimore", camp_code="UG-9")
    text = hospital.client("ambler").get(f"/desk/person/{case.person}").text
    assert "Somebody at Upper Glen camp" in text
    assert "UG-9" not in text
    assert "Fenimore" not in text
