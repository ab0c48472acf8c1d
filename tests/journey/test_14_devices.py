"""A phone's life: its words compared at the desk, then lost and revoked; the phone learns of it."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.base import Base
from tests.browser.phone import Launch, keep_person
from tests.journey.desk import Desk
from tests.journey.page_checks import DESK_THEMES, in_every_look
from webapp.demo_people import PASSPHRASE

pytestmark = pytest.mark.browser

FIRST, SECOND = "Ilse Hartnoll", "Oda Brandreth"


def send(page: Page) -> None:
    """Send what waits from the outbox's page."""
    page.goto(page.url.split("#")[0] + "#/outbox")
    page.get_by_role("button", name=re.compile("Send")).first.click()


def words_on(page: Page) -> list[str]:
    """Return the eight words of a page, at the phone or at the desk."""
    words = page.locator(".key-words li")
    expect(words).to_have_count(8)
    return words.all_inner_texts()


def open_waiting(desk: Desk) -> Page:
    """As the administrator, open the one device that waits."""
    page = desk.sign_in("rook")
    page.goto(f"{desk.address}/desk/devices")
    row = page.get_by_role("row").filter(has_text="Waits for its words")
    row.get_by_role("link").click()
    return page


def test_words_then_revoked(base: Base, desk: Desk, launch: Launch) -> None:
    """What was kept before the words were compared comes in; what came after the loss does not."""
    base.stop()
    base.phones_wait = True
    base.start()
    phone = launch("ambler")
    page = phone.sign_in("ambler", "Saltpan camp")
    expect(page.get_by_text("This phone waits to be confirmed.")).to_be_visible()
    keep_person(page, FIRST)
    send(page)
    page.get_by_role("link", name="Show the words").click()
    at_the_phone = words_on(page)

    there = open_waiting(desk)
    assert words_on(there) == at_the_phone
    assert in_every_look(there, DESK_THEMES) == {}
    there.get_by_label("The phone in front of me shows the same eight words").check()
    there.get_by_label("Your passphrase, for this phone").fill(PASSPHRASE)
    there.get_by_role("button", name="Confirm this phone").click()
    expect(there.get_by_text("Words compared by A. Rook")).to_be_visible()
    send(page)
    expect(page.get_by_text("This phone waits to be confirmed.")).to_have_count(0)

    phone.context.set_offline(True)
    keep_person(page, SECOND)
    there.get_by_label("Why", exact=True).select_option("Lost")
    there.get_by_label("Can somebody else have used it?").select_option("No, nobody else")
    there.get_by_label("Your passphrase, for this revocation").fill(PASSPHRASE)
    there.get_by_role("button", name="Revoke this key").click()
    expect(there.get_by_text("Revoked").first).to_be_visible()
    assert in_every_look(there, DESK_THEMES) == {}

    phone.context.set_offline(False)
    send(page)
    strip = page.get_by_text(re.compile("This phone’s key was revoked .* Nothing can be recorded"))
    expect(strip).to_be_visible()
    assert in_every_look(page) == {}
