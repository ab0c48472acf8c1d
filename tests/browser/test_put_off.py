"""Somebody whose records lie at the base only: the phone says so, and fetches them."""

import pytest
from playwright.sync_api import expect

from tests.browser.base import Base
from tests.browser.phone import Launch, keep_person, unlock

pytestmark = pytest.mark.browser

NAME = "Ilse Hartnoll"
# As an exchange leaves it 90 days later; the browser's clock cannot move the base's.
PUT_OFF = """async (person) => {
  const done = (request) => new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
  const database = await done(indexedDB.open("lampside"));
  const value = { person, back_on: null, news: 0 };
  const store = database.transaction("meta", "readwrite").objectStore("meta");
  await done(store.put({ name: `put-off/${person}`, value }));
  database.close();
}"""


def test_is_said_and_fetched_again(base: Base, launch: Launch) -> None:
    """Offline it says why not; online the records are there again, and can be added to."""
    phone = launch("camp")
    page = phone.sign_in("ambler", "Saltpan camp")
    phone.wait_until_offline_ready(page)
    keep_person(page, NAME)
    page.get_by_role("link", name="Back to").first.click()
    row = page.get_by_role("link", name=NAME)
    expect(row).not_to_contain_text("waiting")
    person = (row.get_attribute("href") or "").split("/")[-1]
    page.evaluate(PUT_OFF, person)
    base.stop()
    page.reload()
    unlock(page)
    expect(row).to_contain_text("Kept at the base only")
    row.click()
    expect(page.get_by_text("Nothing was recorded here for 90 days")).to_be_visible()
    page.get_by_role("button", name="Fetch the records").click()
    expect(page.get_by_role("alert")).to_contain_text("could not be reached")
    base.start()
    page.goto(f"{base.address}/app/#/person/{person}")
    page.get_by_role("button", name="Fetch the records").click()
    expect(page.get_by_role("group", name="Readings, right eye on the left")).to_be_visible()
    page.get_by_role("link", name="Back to").first.click()
    expect(row).not_to_contain_text("Kept at the base only")
