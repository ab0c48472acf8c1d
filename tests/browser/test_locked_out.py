"""Who cannot get in: let in by somebody of this phone, or by nobody; and giving the phone up."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.base import Base
from tests.browser.phone import Launch, Phone, type_person, wait_for_draft
from webapp.demo_people import PASSPHRASE

pytestmark = pytest.mark.browser

ENROL = "Sign in and enrol this phone"
ERASE = "Erase this phone's store"
# Change every row of a store of the phone's database by a function of the row.
CHANGE = """async ([name, change]) => {
  const done = (request) => new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
  const database = await done(indexedDB.open("lampside"));
  const store = database.transaction(name, "readwrite").objectStore(name);
  for (const row of await done(store.getAll())) {
    if (change === "no locks") await done(store.put({ ...row, lock: null }));
    if (change === "no recovery" && row.name === "vault") {
      await done(store.put({ ...row, value: { ...row.value, recovery: null } }));
    }
  }
  database.close();
}"""
COUNT = """async () => {
  const names = (await indexedDB.databases()).map(({ name }) => name);
  return names.filter((name) => name === "lampside").length + localStorage.length;
}"""


@pytest.fixture
def phone(launch: Launch) -> Phone:
    """Give the phone of R. Ambler."""
    return launch("camp")


@pytest.fixture
def page(phone: Phone) -> Page:
    """Give its tab."""
    page = phone.sign_in("ambler", "Saltpan camp")
    phone.wait_until_offline_ready(page)
    return page


def test_somebody_of_the_phone_lets_a_new_person_in(phone: Phone, page: Page) -> None:
    """Asked for only then; not without a name, nor by a wrong passphrase; then with a key."""
    page.goto(f"{phone.address}/app/#/sign-in/online")
    expect(page.get_by_label("Their passphrase")).to_have_count(0)
    phone.give_passphrase(page, "verrill")
    expect(page.get_by_role("alert")).to_contain_text("Somebody who works on it lets you in")
    page.get_by_role("button", name=ENROL).click()
    expect(page.get_by_role("alert")).to_contain_text("Choose who lets you in")
    page.get_by_role("radio", name="R. Ambler").check()
    page.get_by_label("Their passphrase").fill("not this one")
    page.get_by_role("button", name=ENROL).click()
    expect(page.get_by_role("alert")).to_contain_text("not")
    expect(page.get_by_role("navigation")).to_have_count(0)
    page.get_by_label("Their passphrase").fill(PASSPHRASE)
    page.get_by_role("button", name=ENROL).click()
    expect(page.get_by_role("navigation")).to_be_visible()
    page.reload()
    expect(page.get_by_role("button", name="Dr S. Verrill")).to_be_visible()
    expect(page.get_by_role("button", name="R. Ambler")).to_be_visible()


def test_nobody_can_let_anybody_in(phone: Phone, page: Page) -> None:
    """All locks are used up: whoever signs in is led to the outbox as a file."""
    page.evaluate(CHANGE, ["identities", "no locks"])
    page.goto(f"{phone.address}/app/#/sign-in")
    page.reload()
    expect(page.get_by_role("button", name="R. Ambler, sign in with the network")).to_be_visible()
    expect(page.get_by_label("Passphrase", exact=True)).to_have_count(0)
    page.get_by_role("button", name="Somebody else, with the network").click()
    phone.give_passphrase(page, "verrill")
    expect(page.get_by_text("nobody can let you in")).to_be_visible()
    expect(page.get_by_label("Their passphrase")).to_have_count(0)
    page.get_by_role("link", name="outbox as a file").click()
    expect(page.get_by_role("heading", name="Outbox as a file")).to_be_visible()


def test_nothing_is_erased_by_a_slip(base: Base, phone: Phone, page: Page) -> None:
    """A record that waits, a draft, a wrong word: each is said and holds the erasing back."""
    base.stop()
    page.get_by_role("link", name="Add a person").click()
    type_person(page, "Ilse Hartnoll")
    page.get_by_role("button", name="Keep this person").click()
    page.wait_for_url("**/#/person/*")
    page.goto(f"{phone.address}/app/#/new-person")
    wait_for_draft(page, lambda: page.get_by_label("Name", exact=True).fill("Oda Brandreth"))
    page.goto(f"{phone.address}/app/#/sign-in/stuck")
    page.reload()
    expect(page.get_by_text("Only after the file is saved: 1 record would be lost")).to_be_visible()
    expect(page.get_by_role("button", name=ERASE)).to_have_count(0)
    with page.expect_download():
        page.get_by_role("button", name="Save the outbox as a file").click()
    expect(page.get_by_text("1 draft, typed and not saved, will be lost")).to_be_visible()
    for word in ("", "eras", "erase it"):
        page.get_by_label("Type erase to erase").fill(word)
        expect(page.get_by_role("button", name=ERASE)).to_have_attribute("aria-disabled", "true")
        page.get_by_role("button", name=ERASE).click(force=True)
    expect(page.get_by_role("heading", name="Outbox as a file")).to_be_visible()
    assert page.evaluate(COUNT) >= 1
    page.get_by_label("Type erase to erase").fill(" Erase ")
    page.get_by_role("button", name=ERASE).click()
    expect(page.get_by_label("Sign-in name")).to_be_visible()
    expect(page.get_by_role("button", name="R. Ambler")).to_have_count(0)


def test_without_a_recovery_key_the_file_is_not_offered(
    base: Base, phone: Phone, page: Page
) -> None:
    """Nobody could open it: it is said, and what waits is not erased."""
    base.stop()
    page.get_by_role("link", name="Add a person").click()
    type_person(page, "Ilse Hartnoll")
    page.get_by_role("button", name="Keep this person").click()
    page.wait_for_url("**/#/person/*")
    page.evaluate(CHANGE, ["meta", "no recovery"])
    page.goto(f"{phone.address}/app/#/sign-in/stuck")
    page.reload()
    expect(page.get_by_role("alert")).to_contain_text("no recovery key")
    expect(page.get_by_role("button", name="Save the outbox as a file")).to_have_count(0)
    expect(page.get_by_role("button", name=ERASE)).to_have_count(0)
