"""How a surgery is recorded on the surgeon's phone, and carried to the camp."""

import re

from playwright.sync_api import Page, expect

from tests.journey.measuring import answer

OPERATOR = "Dr S. Verrill"


def open_person(page: Page, person: str) -> None:
    """Open a person's page and wait until the records are put together."""
    page.goto(page.url.split("#")[0] + f"#/person/{person}")
    expect(page.get_by_role("main")).to_be_visible()


def begin(page: Page, person: str, eye: str) -> None:
    """Open the form of a surgery, say that it was today, and by whom."""
    page.goto(page.url.split("#")[0] + f"#/surgery/{person}/{eye}")
    page.get_by_label("Day of surgery").fill(page.evaluate("new Date().toISOString().slice(0, 10)"))
    page.get_by_label("Who operated").fill(OPERATOR)


def give_serial(page: Page, serial: str) -> None:
    """Type the serial number off the label."""
    answer(page, "Serial number of the lens", "On the label")
    page.get_by_label("Serial number", exact=True).fill(serial)


def keep(page: Page, serial: str) -> None:
    """Keep the surgery; the person's page names the lens."""
    page.get_by_role("button", name="Keep the surgery").click()
    expect(page.get_by_text(f"serial {serial}").first).to_be_visible(timeout=60_000)


def send_and_fetch(page: Page) -> None:
    """Exchange everything with the base."""
    page.goto(page.url.split("#")[0] + "#/outbox")
    expect(page.get_by_role("heading", name="Outbox")).to_be_visible()
    page.get_by_role("button", name="Send and fetch now").click()
    expect(page.get_by_text(re.compile(r"[0-9]+ fetched\."))).to_be_visible()
