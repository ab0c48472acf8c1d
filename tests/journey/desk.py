"""The base desk: a browser of its own at 1280 by 800, and what a person does there."""

import io
import json
from typing import Any

from playwright.sync_api import Browser, Page, expect
from pypdf import PdfReader

from tests.browser.phone import PATIENCE_MS
from tests.browser.watch import Watch
from webapp.demo_people import PASSPHRASE

SCREEN = {"width": 1280, "height": 800}


class Desk:
    """One signed-in browser at the desk."""

    def __init__(self, browser: Browser, address: str) -> None:
        self.address = address
        self.watch = Watch(address)
        self.context = browser.new_context(
            viewport={"width": SCREEN["width"], "height": SCREEN["height"]}
        )
        self.context.set_default_timeout(PATIENCE_MS)
        self.watch.attach(self.context)
        self.page: Page = self.context.new_page()

    def sign_in(self, name: str = "fenn") -> Page:
        """Sign in and come to the worklist."""
        self.page.goto(f"{self.address}/desk/")
        self.page.get_by_label("Sign-in name").fill(name)
        self.page.get_by_label("Passphrase").fill(PASSPHRASE)
        self.page.get_by_role("button", name="Sign in").click()
        expect(self.page.get_by_role("button", name="Sign out")).to_be_visible()
        return self.page

    def open_case(self, person: str, eye_word: str) -> Page:
        """Find a person by the worklist's search and open one eye."""
        self.page.goto(f"{self.address}/desk/")
        self.page.get_by_role("searchbox").fill(person)
        self.page.get_by_role("button", name="Find").click()
        self.page.get_by_role("link", name=person).click()
        self.page.get_by_role("link", name=f"Open the {eye_word}").click()
        expect(self.page.get_by_role("heading", name=person)).to_be_visible()
        return self.page

    def place_order(self, passphrase: str = PASSPHRASE) -> None:
        """Sign for the order on the open case."""
        self.page.get_by_label("Your passphrase, for this order").fill(passphrase)
        self.page.get_by_role("button", name="Place order").click()

    def print_sheet(self) -> str:
        """Print the open order once more and return the words on the paper."""
        before = self.page.url
        # A browser with a window shows it, one without downloads it.
        with self.page.expect_response("**/sheet.pdf") as printed:
            self.page.get_by_role("button", name="Print").click()
        assert printed.value.ok
        self.page.goto(before)
        return self.sheet()

    def sheet(self) -> str:
        """Return the words on the paper of the open order."""
        pdf = self._fetch("(PDF)")
        pages = PdfReader(io.BytesIO(pdf)).pages
        return "\n".join(page.extract_text() for page in pages)

    def order_json(self) -> dict[str, Any]:
        """Return the open order as data."""
        found: dict[str, Any] = json.loads(self._fetch("(JSON)"))
        return found

    def _fetch(self, link: str) -> bytes:
        """Return what a link of the open page leads to, with this browser's session."""
        address = self.page.get_by_role("link", name=link).get_attribute("href")
        answer = self.context.request.get(f"{self.address}{address}")
        assert answer.ok, answer.status
        return answer.body()

    def close(self) -> None:
        """Close the window."""
        self.context.close()
