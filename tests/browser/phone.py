"""A phone: one browser profile that outlives its browser, and what a person does on it."""

import os
import signal
from collections.abc import Callable
from pathlib import Path
from typing import Protocol

from playwright.sync_api import BrowserContext, Page, Playwright, expect

from tests.browser.watch import Watch
from tests.chromium import find
from webapp.demo_people import PASSPHRASE

DRAFT_SINCE = """async (since) => {
  const done = (request) => new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
  const database = await done(indexedDB.open("lampside"));
  const drafts = await done(database.transaction("drafts").objectStore("drafts").getAll());
  database.close();
  return drafts.some(({ saved }) => saved > since);
}"""
SCREEN = {"width": 360, "height": 740}
PATIENCE_MS = 45_000
"""How long anything may take on a busy machine; what never comes still fails."""


class Phone:
    """One phone of 360 pixels' width, opened at the base's address."""

    def __init__(
        self, playwright: Playwright, profile: Path, address: str, flags: tuple[str, ...] = ()
    ) -> None:
        self._playwright = playwright
        self._flags = flags
        self.profile = profile
        self.address = address
        self.watch = Watch(address)
        self.problems = self.watch.problems
        self.asked = self.watch.asked
        self.context = self._launch()

    def _launch(self) -> BrowserContext:
        context = self._playwright.chromium.launch_persistent_context(
            str(self.profile),
            executable_path=find(),
            args=["--no-sandbox", *self._flags],
            viewport={"width": SCREEN["width"], "height": SCREEN["height"]},
            has_touch=True,
        )
        context.set_default_timeout(PATIENCE_MS)
        self.watch.attach(context)
        return context

    def open(self, place: str = "") -> Page:
        """Open the app in a new tab, at a hash address such as ``#/outbox``."""
        page = self.context.new_page()
        page.goto(f"{self.address}/app/{place}")
        return page

    def sign_in(self, name: str, camp: str | None = None) -> Page:
        """Sign in online for the first time and choose the camp; return the tab."""
        page = self.open("#/sign-in")
        self.give_passphrase(page, name)
        if camp:
            page.get_by_role("button", name=camp).click()
        expect(page.get_by_role("navigation")).to_be_visible()
        return page

    def open_unlocked(self, place: str = "") -> Page:
        """Open the app in a new tab at an address, and give the passphrase."""
        page = self.open(place)
        unlock(page)
        return page

    def sign_in_beside(
        self, page: Page, name: str, voucher: str | None, camp: str | None = None
    ) -> None:
        """Sign in with the network on a phone of others, one of whom lets this person in."""
        page.goto(f"{self.address}/app/#/sign-in/online")
        self.give_passphrase(page, name)
        if voucher:
            page.get_by_role("radio", name=voucher).check()
            page.get_by_label("Their passphrase").fill(PASSPHRASE)
            page.get_by_role("button", name="Sign in and enrol this phone").click()
        if camp:
            page.get_by_role("button", name=camp).click()
        expect(page.get_by_role("navigation")).to_be_visible()

    def give_passphrase(self, page: Page, name: str) -> None:
        """Fill in the form of the online sign-in and send it."""
        page.get_by_label("Sign-in name").fill(name)
        page.get_by_label("Passphrase", exact=True).fill(PASSPHRASE)
        page.get_by_role("button", name="Sign in and enrol this phone").click()

    def wait_until_offline_ready(self, page: Page) -> None:
        """Wait until the service worker has kept the whole app."""
        page.evaluate("navigator.serviceWorker.ready.then(() => null)")

    def kill(self) -> None:
        """Kill the browser outright, as an empty battery would."""
        for pid in _processes_of(self.profile):
            os.kill(pid, signal.SIGKILL)
        for name in ("SingletonLock", "SingletonCookie", "SingletonSocket"):
            (self.profile / name).unlink(missing_ok=True)

    def relaunch(self) -> None:
        """Start the browser again with the same storage."""
        self.context = self._launch()

    def close(self) -> None:
        """Close the browser."""
        self.context.close()


def unlock(page: Page, passphrase: str = PASSPHRASE) -> None:
    """Give the passphrase of the person who worked here last; needs no network."""
    page.get_by_label("Passphrase", exact=True).fill(passphrase)
    page.get_by_role("button", name="Work on this phone").click()
    expect(page.get_by_label("Passphrase", exact=True)).to_have_count(0)


def send_until_asked(page: Page) -> None:
    """Send from the outbox until the base asks who this is; the app may have asked by itself."""
    link = page.get_by_role("link", name="Sign in to send")
    page.get_by_role("button", name="Send and fetch now").or_(link).click()
    if "#/sign-in" not in page.url:
        link.click()


def wait_for_draft(page: Page, press: Callable[[], None]) -> None:
    """Do the last key press of a draft, and wait until it is on the disk.

    What a draft says is sealed; when it was kept is not, and drafts are kept in their order.
    """
    since = page.evaluate("new Date().toISOString()")
    # The key before it may have been pressed in the same millisecond.
    page.wait_for_timeout(5)
    press()
    page.wait_for_function(DRAFT_SINCE, arg=since)


def type_person(page: Page, name: str) -> None:
    """Fill in the form of a new person, an invented one, up to the last button."""
    page.get_by_label("Name", exact=True).fill(name)
    page.get_by_label("Village or street").fill("Saltpan Row")
    page.get_by_label("Female").check()
    page.get_by_label("Only the year").check()
    page.get_by_label("Birth year").fill("1996")
    # Two people of one camp never share a code.
    page.get_by_label("Camp code").fill(f"SP-{name[:3].upper()}")
    for question in page.get_by_role("group").filter(has_text="May we").all():
        question.get_by_label("Yes").check()


def keep_person(page: Page, name: str) -> None:
    """Register an invented person and wait until the app says that it is kept."""
    page.goto(page.url.split("#")[0] + "#/new-person")
    type_person(page, name)
    page.get_by_role("button", name="Keep this person").click()
    expect(page.get_by_role("heading", name=name, exact=True)).to_be_visible()


def _processes_of(profile: Path) -> list[int]:
    """Return the processes of the browser that was started with this profile, and no other."""
    mark = f"--user-data-dir={profile}".encode()
    found = []
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit() and mark in _command(entry):
            found.append(int(entry.name))
    return found


def _command(entry: Path) -> bytes:
    try:
        return (entry / "cmdline").read_bytes()
    except OSError:
        return b""


class Launch(Protocol):
    """Takes a phone into use."""

    def __call__(self, name: str, *flags: str) -> Phone:
        """Return a phone with a name, its browser started with further words."""
        ...
