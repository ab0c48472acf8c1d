"""Another version of the app takes the database over: nothing is called saved, the form stays."""

import pytest
from playwright.sync_api import expect

from tests.browser.base import Base
from tests.browser.phone import Launch, type_person

pytestmark = pytest.mark.browser

NAME = "Ilse Hartnoll"
NEWER = """() => new Promise((resolve, reject) => {
  const request = indexedDB.open("lampside", 99);
  request.onsuccess = () => { request.result.close(); resolve(null); };
  request.onerror = () => reject(request.error);
  request.onblocked = () => reject(new Error("the app kept the database to itself"));
})"""


def test_it_is_said_and_what_was_typed_stays(base: Base, launch: Launch) -> None:
    """The app lets go of its database, and says that nothing of it is on the disk."""
    phone = launch("camp")
    page = phone.sign_in("ambler", "Saltpan camp")
    phone.wait_until_offline_ready(page)
    page.get_by_role("link", name="Add a person").click()
    type_person(page, NAME)
    other = phone.context.new_page()
    other.goto(f"{base.address}/desk/sign-in")
    other.evaluate(NEWER)
    page.get_by_label("Camp code").fill("SP-OTHER")
    expect(page.get_by_text("on this page and nowhere else").first).to_be_visible()
    page.get_by_role("button", name="Keep this person").click()
    expect(page.get_by_text("Nothing is being saved on this page")).to_be_visible()
    expect(page.get_by_label("Name", exact=True)).to_have_value(NAME)
    expect(page.get_by_label("Camp code")).to_have_value("SP-OTHER")
    # The browser reports what the page said; anything else is a fault.
    said = ("on this page and nowhere else", "existing version (99)")
    phone.problems[:] = [one for one in phone.problems if not any(word in one for word in said)]
