"""The browser threw the phone's store away: a new key, and the loss is shown at the old one."""

import pytest
from playwright.sync_api import expect

from tests.browser.base import Base
from tests.browser.phone import Launch, keep_person
from webapp.demo_people import PASSPHRASE

pytestmark = pytest.mark.browser

SENT, LOST = "Ilse Hartnoll", "Oda Brandreth"


def test_a_new_key_and_the_old_one_is_closed(base: Base, launch: Launch) -> None:
    """What had arrived comes back; the person is shown what may be missing, and closes the key."""
    phone = launch("camp")
    page = phone.sign_in("ambler", "Saltpan camp")
    phone.wait_until_offline_ready(page)
    keep_person(page, SENT)
    page.get_by_role("link", name="Back to").first.click()
    expect(page.get_by_role("link", name=SENT)).not_to_contain_text("waiting")
    base.stop()
    keep_person(page, LOST)
    page.goto("about:blank")
    clear = {"origin": base.address, "storageTypes": "indexeddb"}
    page.context.new_cdp_session(page).send("Storage.clearDataForOrigin", clear)
    base.start()

    page.goto(f"{base.address}/app/")
    expect(page.get_by_text("The first sign-in on a phone needs the network.")).to_be_visible()
    phone.give_passphrase(page, "ambler")
    page.get_by_role("button", name="Saltpan camp").click()
    expect(page.get_by_role("link", name=SENT)).to_be_visible()
    expect(page.get_by_role("link", name=LOST)).to_have_count(0)
    told = page.get_by_text("The key in this browser is new.")
    expect(told).to_contain_text("what had not been sent is gone")
    page.get_by_role("link", name="Me", exact=True).click()
    expect(page.get_by_role("heading", name="Your other keys")).to_be_visible()
    expect(page.get_by_text("had sent 1 record")).to_be_visible()
    page.get_by_role("listitem").filter(has_text="had sent 1 record").get_by_role("link").click()
    page.get_by_label("The phone’s storage was cleared").check()
    page.get_by_label("Your passphrase, to close it").fill(PASSPHRASE)
    page.get_by_role("button", name="Close").click()
    expect(page.get_by_text("The key was closed after 1 record.")).to_contain_text(
        "is lost unless it was exported"
    )
