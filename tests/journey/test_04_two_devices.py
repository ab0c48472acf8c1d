"""A phone that was away brings a reading nobody knew of: the approval falls before the order."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.base import Base
from tests.browser.phone import Launch
from tests.journey import deciding, eyes
from tests.journey.desk import Desk
from tests.journey.measuring import take_third_width

pytestmark = pytest.mark.browser

NAME = "Ines Calder"
EYE = "Left eye"


def measure_once_more(page: Page) -> None:
    """Take a third white-to-white, blind."""
    take_third_width(page, NAME, EYE, eyes.diameter("11.50"))
    page.get_by_role("link", name="Back to").first.click()


def test_an_approval_falls_and_is_given_again(base: Base, launch: Launch, desk: Desk) -> None:
    """Refused by name at the desk, shown as fallen on the phone, approved again, then ordered."""
    camp = launch("camp")
    page = camp.sign_in("ambler", "North Quay camp")
    camp.wait_until_offline_ready(page)
    expect(page.get_by_role("link", name=NAME)).to_be_visible()
    case = launch("surgeon").sign_in("verrill")
    expect(case.get_by_role("listitem").filter(has_text=NAME).filter(has_text=EYE)).to_contain_text(
        "Approved"
    )
    desk.sign_in()
    desk.open_case(NAME, EYE.lower())
    base.stop()
    measure_once_more(page)
    base.start()
    deciding.exchange(page)
    desk.place_order()
    refusal = desk.page.get_by_role("alert")
    expect(refusal).to_contain_text("The order was not placed")
    expect(refusal).to_contain_text("white-to-white")
    expect(desk.page.get_by_text("The approval no longer stands").first).to_be_visible()
    deciding.exchange(case)
    deciding.open_from_queue(case, NAME, EYE)
    expect(case.get_by_role("heading", name="Your approval no longer stands")).to_be_visible()
    approved = deciding.approve(case, EYE)
    case.get_by_role("link", name="Back to").first.click()
    deciding.exchange(case)
    desk.open_case(NAME, EYE.lower())
    desk.place_order()
    expect(desk.page.get_by_text("This order stands")).to_be_visible()
    said = desk.order_json()
    assert {name: said["lens"][name] for name in approved.lens} == approved.lens
    assert said["digest"].startswith(approved.check_code)
