"""The phone's storage is full: nothing is called saved, and the form stays until there is room."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.base import Base
from tests.browser.phone import Launch, type_person

pytestmark = pytest.mark.browser

NAME = "Ilse Hartnoll"
REMEMBERED_MS = 31_000
"""How long Chromium goes by the room that it found last, and a little more (measured here)."""


def give_room(page: Page, origin: str, **quota: int) -> None:
    """Have the browser keep no more than so many bytes (``quotaSize``); none named lifts that."""
    page.context.new_cdp_session(page).send(
        "Storage.overrideQuotaForOrigin", {"origin": origin, **quota}
    )


def test_it_is_said_and_the_form_stays(base: Base, launch: Launch) -> None:
    """Full at the moment of saving; with room again the same form is saved, once."""
    phone = launch("camp")
    page = phone.sign_in("ambler", "Saltpan camp")
    phone.wait_until_offline_ready(page)
    page.get_by_role("link", name="Add a person").click()
    type_person(page, NAME)
    give_room(page, base.address, quotaSize=1)
    page.wait_for_timeout(REMEMBERED_MS)
    page.get_by_role("button", name="Keep this person").click()
    expect(page.get_by_text("storage is full, so this was not saved").first).to_be_visible()
    expect(page.get_by_label("Name", exact=True)).to_have_value(NAME)
    expect(page.get_by_label("Camp code")).to_have_value("SP-ILS")
    give_room(page, base.address)
    page.get_by_role("button", name="Keep this person").click()
    expect(page.get_by_role("heading", name=NAME, exact=True)).to_be_visible()
    page.goto(f"{base.address}/app/#/people")
    expect(page.get_by_role("link", name=NAME)).to_have_count(1)
