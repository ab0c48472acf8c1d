"""A phone in a stranger's hand: what lies on its disk, what its screen shows, when it locks."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.base import Base
from tests.browser.phone import Launch, Phone, type_person, unlock
from webapp import import_outbox
from webapp.settings import Settings

pytestmark = pytest.mark.browser

CANARY = "Zzqxw Canary"
NUMBER = "5550917263"
# All of IndexedDB, localStorage and the kept files, as one text; bytes become one letter each.
DUMP = """async () => {
  const done = (request) => new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
  const words = (value) => {
    if (value instanceof CryptoKey) return [`a ${value.type} key in the clear`];
    if (ArrayBuffer.isView(value)) return [String.fromCharCode(...value)];
    if (value === null || typeof value !== "object") return [String(value)];
    return Object.entries(value).flatMap(([name, part]) => [name, ...words(part)]);
  };
  const texts = [JSON.stringify(localStorage), JSON.stringify(sessionStorage)];
  for (const { name } of await indexedDB.databases()) {
    const database = await done(indexedDB.open(name));
    for (const store of database.objectStoreNames) {
      const rows = await done(database.transaction(store).objectStore(store).getAll());
      texts.push(store, ...rows.flatMap(words));
    }
    database.close();
  }
  for (const name of await caches.keys()) {
    const cache = await caches.open(name);
    for (const request of await cache.keys()) {
      texts.push(request.url, await (await cache.match(request)).text());
    }
  }
  return texts.join("\\n");
}"""


@pytest.fixture
def phone(launch: Launch) -> Phone:
    """Give the phone of the camp."""
    return launch("camp")


@pytest.fixture
def page(phone: Phone) -> Page:
    """Give its tab, with a person kept and another one half typed."""
    page = phone.sign_in("ambler", "Saltpan camp")
    phone.wait_until_offline_ready(page)
    page.get_by_role("link", name="Add a person").click()
    type_person(page, CANARY)
    page.get_by_label("Phone").fill(NUMBER)
    page.get_by_role("button", name="Keep this person").click()
    page.wait_for_url("**/#/person/*")
    expect(page.get_by_role("heading", name=CANARY)).to_be_visible()
    return page


def secrets() -> Iterator[bytes]:
    """Yield what must stand nowhere on the disk, as text is written there."""
    for word in (CANARY, NUMBER):
        yield word.encode("utf-8")
        yield word.encode("utf-16-le")


def test_no_name_no_number_and_no_key_is_in_the_store(base: Base, page: Page) -> None:
    """IndexedDB, localStorage and the kept files: the canary is in none of them."""
    text = page.evaluate(DUMP)
    assert "person.registered" in text, "the dump reads the records"
    assert [word for word in (CANARY, NUMBER, "key in the clear") if word in text] == []


def test_the_files_of_the_whole_profile_hold_no_name_and_no_number(
    phone: Phone, page: Page
) -> None:
    """Not the database's own files, not the history with its page titles, not the form memory."""
    page.get_by_role("link", name="Back to").first.click()
    expect(page.get_by_role("link", name=CANARY)).to_be_visible()
    phone.close()
    profile: Path = phone.profile
    files = [path for path in profile.rglob("*") if path.is_file() and not path.is_symlink()]
    assert any("IndexedDB" in str(path) for path in files), "the profile is the right folder"
    found = [
        str(path.relative_to(profile))
        for path in files
        if any(secret in path.read_bytes() for secret in secrets())
    ]
    phone.relaunch()
    assert found == []


def test_a_phone_that_nobody_touches_locks_and_shows_nothing(page: Page) -> None:
    """After five minutes the case is closed; the passphrase leads to the list, not back into it."""
    page.clock.install()
    page.get_by_role("link", name="Back to").first.click()
    page.get_by_role("link", name=CANARY).click()
    page.clock.run_for(4 * 60_000)
    expect(page.get_by_role("heading", name=CANARY)).to_be_visible()
    page.clock.run_for(2 * 60_000)
    expect(page.get_by_role("heading", name="Who is working?")).to_be_visible()
    assert CANARY not in page.content()
    assert CANARY not in page.title()
    page.go_back()
    expect(page.get_by_role("heading", name="Who is working?")).to_be_visible()
    assert CANARY not in page.content()


def test_another_person_does_not_land_in_the_case_that_was_open(phone: Phone, page: Page) -> None:
    """The same person goes on where the app was closed; somebody let in starts at the list."""
    page.reload()
    assert CANARY not in page.content()
    unlock(page)
    expect(page.get_by_role("heading", name=CANARY)).to_be_visible()
    phone.sign_in_beside(page, "verrill", "R. Ambler")
    page.goto(f"{phone.address}/app/#/people")
    page.get_by_role("link", name=CANARY).click()
    page.reload()
    page.get_by_role("button", name="R. Ambler").click()
    unlock(page)
    expect(page.get_by_role("link", name="Add a person")).to_be_visible()


def test_the_outbox_of_a_locked_phone_reaches_the_base_as_a_file(
    base: Base, phone: Phone, page: Page, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exported without a passphrase, taken in with the recovery key; only then erased."""
    base.stop()
    page.get_by_role("link", name="Back to").first.click()
    page.get_by_role("link", name="Add a person").click()
    type_person(page, "Ilse Hartnoll")
    page.get_by_role("button", name="Keep this person").click()
    page.wait_for_url("**/#/person/*")
    page.reload()
    page.get_by_role("link", name="Nobody can unlock this phone").click()
    expect(page.get_by_label("Type erase to erase")).to_have_count(0)
    with page.expect_download() as coming:
        page.get_by_role("button", name="Save the outbox as a file").click()
    file = tmp_path / "outbox.json"
    coming.value.save_as(file)
    said: dict[str, Any] = json.loads(file.read_text(encoding="utf-8"))
    assert len(said["records"]) >= 1
    assert b"Hartnoll" not in file.read_bytes()
    key = Settings.for_demo(base.data_dir).data_dir / "recovery_key.pem"
    words = [str(file), "--recovery-key", str(key), "--demo", str(base.data_dir)]
    assert import_outbox.main(words) == 0
    assert "0 refused" in capsys.readouterr().out
    page.get_by_label("Type erase to erase").fill("erase")
    page.get_by_role("button", name="Erase this phone's store").click()
    expect(page.get_by_label("Sign-in name")).to_be_visible()
    base.start()
    phone.give_passphrase(page, "ambler")
    page.get_by_role("button", name="Saltpan camp").click()
    expect(page.get_by_role("link", name="Ilse Hartnoll")).to_be_visible()
