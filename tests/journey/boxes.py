"""How a box that came is checked at the desk: that it is here, scanned, read by one and another."""

import re
from datetime import date

from playwright.sync_api import Locator, Page, expect

from tests.journey.pictures import CODES, picture
from webapp.demo_people import PASSPHRASE

CABLE = """(field, code) => {
  field.focus();
  for (const key of code) field.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true }));
  field.value = code;
  for (const name of ["input", "change"]) field.dispatchEvent(new Event(name, { bubbles: true }));
}"""
TRACED = {"Lot": "LOT7", "Serial number": "SER9", "Use by": "2031-02-28"}


def arrive(page: Page) -> None:
    """On the page of an order, say that its lens is here, and go on to its box."""
    page.locator("summary", has_text="Arrived").click()
    page.get_by_label("Day of arrival").fill(date.today().isoformat())
    page.get_by_role("button", name="The lens is here").click()
    page.get_by_role("link", name="Check the box that came").click()


def typed(lens: dict[str, int | str | None]) -> dict[str, str]:
    """Return a lens as it is typed."""
    return {
        "Model": str(lens["model"]),
        "Sphere, D, with its sign": f"{int(lens['sphere_cD'] or 0) / 100:+.2f}",
        "Cylinder, D, with its sign": f"{int(lens['cylinder_cD'] or 0) / 100:+.2f}",
        "Axis, °, if there is a cylinder": str(lens["axis_deg"] or ""),
        "Overall length, mm": f"{int(lens['length_um'] or 0) / 1000:.2f}",
    }


def fill(page: Page, values: dict[str, str]) -> None:
    """Type values by their labels."""
    for label, text in values.items():
        page.get_by_label(label, exact=True).fill(text)


def by_cable(field: Locator, code: str) -> None:
    """Give a field a code as a reader at the cable does: key by key, faster than fingers."""
    field.evaluate(CABLE, code)


def choose(page: Page, name: str) -> None:
    """Give the page a picture of a code."""
    file = {"name": "box.png", "mimeType": "image/png", "buffer": picture(name)}
    page.get_by_label("Or a picture of the code").set_input_files([file])  # type: ignore[list-item]


def scan(page: Page, name: str) -> None:
    """Give the page a picture of a code, and wait until it is read."""
    choose(page, name)
    expect(page.get_by_label("Code of the box")).to_have_value(CODES[name]["read"])


def compare(page: Page) -> None:
    """Send the first reading."""
    page.get_by_role("button", name="Compare this box").click()


def read_again(page: Page, lens: dict[str, str]) -> None:
    """As the second person, read the label again."""
    fill(page, lens)
    page.get_by_label("Sign-in name of the second person").fill("verrill")
    page.get_by_label("Passphrase of the second person").fill(PASSPHRASE)
    page.get_by_role("button", name="Record what we both read").click()


def stops(page: Page, what: str) -> None:
    """See the stop, with the row that differs, and no way on with this box."""
    expect(page.get_by_role("heading", name="Stop. Not the lens for this eye")).to_be_visible()
    expect(page.locator("tr.differs").filter(has_text=what)).to_be_visible()
    expect(page.get_by_role("button", name=re.compile("Compare|Record"))).to_have_count(0)


def check(page: Page, lens: dict[str, str]) -> None:
    """Have two people read a box that is right."""
    scan(page, "right")
    fill(page, lens | TRACED)
    compare(page)
    read_again(page, lens)
    expect(page.get_by_role("heading", name="The box is right")).to_be_visible()
