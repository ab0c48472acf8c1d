"""The battery dies while a value is typed, and again right after one was kept."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.base import Base
from tests.browser.phone import Launch, Phone, wait_for_draft
from tests.journey.measuring import open_quantity, press_keys

pytestmark = pytest.mark.browser

NAME = "Odd Fenwick"
EYE = "Right eye"


def start_again(phone: Phone) -> Page:
    """Kill the browser, start it again without a server, and open the person."""
    phone.kill()
    phone.relaunch()
    page = phone.open_unlocked()
    page.get_by_role("link", name=NAME).click()
    return page


def test_what_was_typed_and_what_was_kept_are_there(base: Base, launch: Launch) -> None:
    """The half-typed value stands on the keypad again; the kept one waits in the outbox."""
    phone = launch("camp")
    page = phone.sign_in("ambler", "Saltpan camp")
    phone.wait_until_offline_ready(page)
    expect(page.get_by_role("link", name=NAME)).to_be_visible()
    base.stop()
    page.get_by_role("link", name=NAME).click()
    open_quantity(page, EYE, "Corrected acuity")
    press_keys(page, "0")
    wait_for_draft(page, lambda: press_keys(page, "1"))
    page = start_again(phone)
    open_quantity(page, EYE, "Corrected acuity")
    press_keys(page, "2")
    expect(page.get_by_role("img", name="0.12 logMAR")).to_be_visible()
    page.keyboard.press("Enter")
    expect(page.get_by_role("status").filter(has_text="Kept")).to_contain_text("0.12")
    page = start_again(phone)
    taken = page.get_by_role("link", name=f"{EYE}, OD, corrected acuity")
    expect(taken).to_contain_text("0.12")
    page.goto(f"{base.address}/app/#/outbox")
    expect(page.get_by_text("Waiting, 1").first).to_be_visible()
