"""A person makes a new key on their phone: offline it says why not, online nothing is lost."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.base import Base
from tests.browser.phone import Launch, keep_person, unlock
from webapp.demo_people import PASSPHRASE

pytestmark = pytest.mark.browser

FIRST, SECOND = "Ilse Hartnoll", "Oda Brandreth"


def words_on(page: Page) -> list[str]:
    """Return the eight words that page "Me" shows."""
    words = page.locator(".key-words li")
    expect(words).to_have_count(8)
    return words.all_inner_texts()


def make_new_key(page: Page) -> None:
    """Give the passphrase for a new key."""
    page.get_by_label("Your passphrase").fill(PASSPHRASE)
    page.get_by_role("button", name="Make the new key").click()


def test_offline_it_waits_and_online_the_old_key_is_closed(base: Base, launch: Launch) -> None:
    """What the old key signed arrives, the new one signs from then on, also after a restart."""
    phone = launch("camp")
    page = phone.sign_in("ambler", "Saltpan camp")
    phone.wait_until_offline_ready(page)
    base.stop()
    keep_person(page, FIRST)
    page.get_by_role("link", name="Back to").first.click()
    page.get_by_role("link", name="Me", exact=True).click()
    before = words_on(page)
    page.get_by_role("button", name="Make a new key").click()
    make_new_key(page)
    expect(page.get_by_role("alert")).to_contain_text("The base could not be reached")
    assert words_on(page) == before

    base.start()
    make_new_key(page)
    expect(page.get_by_role("button", name="Make a new key")).to_be_visible()
    expect(page.locator(".key-words li").first).not_to_have_text(before[0])
    after = words_on(page)
    assert after != before
    expect(page.get_by_role("link", name=re.compile("^Outbox$"))).to_be_visible()

    page.reload()
    unlock(page)
    page.get_by_role("link", name="Me", exact=True).click()
    assert words_on(page) == after
    keep_person(page, SECOND)
    page.get_by_role("link", name="Back to").first.click()
    for name in (FIRST, SECOND):
        row = page.get_by_role("link", name=name)
        expect(row).to_be_visible()
        expect(row).not_to_contain_text("waiting")
