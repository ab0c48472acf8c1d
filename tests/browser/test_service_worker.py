"""The service worker in a real browser: the app starts from the phone, whole and of one version."""

import json
import shutil
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.base import Base, captive_portal
from tests.browser.phone import Launch, Phone, keep_person, type_person, unlock

pytestmark = pytest.mark.browser


def newer_build(built: Path, folder: Path) -> Path:
    """Return a copy of the built files that is another version of the app."""
    made = folder / "newer"
    shutil.copytree(built, made)
    version = json.loads((built / "manifest.json").read_bytes())["version"]
    worker = made / "sw.js"
    text = worker.read_text(encoding="utf-8")
    assert text.count(version) == 1
    worker.write_text(text.replace(version, "f" * 16), encoding="utf-8")
    (made / "sw.js.br").unlink()
    return made


def cache_names(page: Page) -> list[str]:
    """Return the names of the caches on the phone."""
    names: list[str] = page.evaluate("caches.keys()")
    return names


@pytest.fixture
def enrolled(launch: Launch) -> tuple[Phone, Page]:
    """Give a phone that has kept the whole app and the part that its person uses, and its tab."""
    phone = launch("camp")
    page = phone.sign_in("ambler", "Saltpan camp")
    phone.wait_until_offline_ready(page)
    page.wait_for_function(
        "() => caches.keys().then((names) => names.some((name) => name.endsWith('-exchange')))"
    )
    return phone, page


class TestColdStart:
    """The browser starts anew, without a server."""

    def test_the_list_shows_and_the_core_calculates(
        self, base: Base, enrolled: tuple[Phone, Page]
    ) -> None:
        """Everything, the calculation core included, comes from the phone."""
        phone, page = enrolled
        keep_person(page, "Ilse Hartnoll")
        base.stop()
        phone.close()
        phone.relaunch()
        page = phone.open_unlocked()
        page.get_by_role("link", name="Ilse Hartnoll").click()
        # What is missing for this eye is the core's answer; nothing else knows it.
        expect(page.get_by_text("missing").first).to_be_visible()

    def test_only_the_own_server_is_ever_asked(
        self, base: Base, enrolled: tuple[Phone, Page]
    ) -> None:
        """No request leaves for anybody else."""
        phone, _page = enrolled
        assert phone.asked
        assert {url for url in phone.asked if not url.startswith(base.address)} == set()


class TestNewVersion:
    """The server has a newer app."""

    def test_it_waits_while_something_is_typed_and_then_starts_once(
        self, base: Base, enrolled: tuple[Phone, Page], tmp_path: Path
    ) -> None:
        """Shown as ready, refused under an open draft, taken when the draft is gone."""
        _phone, page = enrolled
        before = cache_names(page)
        page.get_by_role("link", name="Add a person").click()
        type_person(page, "Ilse Hartnoll")
        base.stop()
        base.built_dir = newer_build(base.built_dir, tmp_path)
        base.start()
        page.reload()
        unlock(page)
        start = page.get_by_role("button", name="Start it")
        start.click()
        expect(page.get_by_text("Something is typed but not saved")).to_be_visible()
        assert set(before) < set(cache_names(page))
        page.get_by_role("button", name="Leave, throw away what is typed").click()
        page.evaluate("globalThis.isOldPage = true")
        start.click()
        page.wait_for_function("() => !globalThis.isOldPage && document.readyState === 'complete'")
        unlock(page)
        expect(page.get_by_role("link", name="Add a person")).to_be_visible()
        expect(start).to_have_count(0)
        # The parts of the new version may be fetched by now, too; of the old one nothing is left.
        new = "lampside-app-" + "f" * 16
        assert new in cache_names(page)
        assert all(name.startswith(new) for name in cache_names(page))

    def test_another_networks_page_never_becomes_the_app(
        self, base: Base, enrolled: tuple[Phone, Page]
    ) -> None:
        """A page that answers in the server's place is neither the worker nor the shell."""
        _phone, page = enrolled
        before = cache_names(page)
        base.stop()
        with captive_portal(base.port):
            page.evaluate(
                "navigator.serviceWorker.ready.then((kept) => kept.update()).catch(() => null)"
            )
            page.reload()
            unlock(page)
            expect(page.get_by_role("link", name="Add a person")).to_be_visible()
        assert cache_names(page) == before

    def test_a_build_with_one_wrong_file_is_not_taken(
        self, base: Base, enrolled: tuple[Phone, Page], tmp_path: Path
    ) -> None:
        """One altered file on the server, and the phone keeps the version it has."""
        _phone, page = enrolled
        before = cache_names(page)
        newer = newer_build(base.built_dir, tmp_path)
        for shell in newer.glob("app.html*"):
            shell.unlink()
        (newer / "app.html").write_text("<!doctype html><h1>Altered</h1>", encoding="utf-8")
        base.stop()
        base.built_dir = newer
        base.start()
        state = page.evaluate(UPDATE_AND_SETTLE)
        assert state == "redundant"
        assert cache_names(page) == before


UPDATE_AND_SETTLE = """async () => {
  const kept = await navigator.serviceWorker.ready;
  const found = new Promise((resolve) => {
    kept.addEventListener("updatefound", () => {
      const coming = kept.installing;
      coming.addEventListener("statechange", () => resolve(coming.state));
    });
  });
  await kept.update();
  return found;
}"""
