"""The steps in theatre: an eye on the list of the day, a tablet of two people, and their check."""

import re
from datetime import date
from typing import NamedTuple

from playwright.sync_api import Page, expect

from tests.browser.phone import Launch, Phone
from tests.journey import boxes
from tests.journey.deciding import exchange
from tests.journey.desk import Desk
from tests.journey.pictures import picture
from webapp.demo_people import PASSPHRASE

SECOND = "Dr S. Verrill"


class ListedEye(NamedTuple):
    """One eye as the pages write it."""

    person: str
    eye: str
    """Within a sentence."""
    mark: str
    """As it is marked on the skin."""

    @property
    def word(self) -> str:
        """Return the eye as a line begins with it."""
        return self.eye.capitalize()


# Of the demo: a toric lens for the left eye, confirmed by its supplier.
WREN = ListedEye("Wren Marlow", "left eye", "Left eye, OS")


def release_box(desk: Desk, whose: ListedEye = WREN) -> None:
    """At the base: scan the box that came and read it, both of two people."""
    boxes.check(desk.page, open_box(desk, whose))


def open_box(desk: Desk, whose: ListedEye) -> dict[str, str]:
    """Open the page of the box and return the ordered lens as it is typed."""
    desk.open_case(whose.person, whose.eye)
    desk.page.get_by_role("link", name=f"Open the order of the {whose.eye}").click()
    expect(desk.page.get_by_role("heading", name=re.compile("^Order "))).to_be_visible()
    lens = boxes.typed(desk.order_json()["lens"])
    boxes.arrive(desk.page)
    return lens


def put_on_list(desk: Desk, whose: ListedEye = WREN) -> None:
    """Put the eye on the list of today."""
    page = desk.page
    page.goto(f"{desk.address}/desk/theatre")
    page.get_by_label(re.compile(f"{whose.person}, {whose.eye}")).check()
    page.get_by_label("Day of the list").fill(date.today().isoformat())
    page.get_by_label("Place, if it matters").fill("Table 1")
    page.get_by_label("Your passphrase, for this list").fill(PASSPHRASE)
    page.get_by_role("button", name="Put the ticked eyes on this list").click()
    expect(page.get_by_text("on the list.").first).to_be_visible()


def tablet_of_two(launch: Launch, *flags: str) -> tuple[Phone, Page]:
    """Take a tablet into use for a surgeon and a nurse, who works on it now."""
    tablet = launch("tablet", *flags)
    page = tablet.sign_in(SECOND.rsplit(maxsplit=1)[-1].lower())
    page.set_viewport_size({"width": 768, "height": 1024})
    tablet.sign_in_beside(page, "wren", SECOND, "Saltpan camp")
    tablet.wait_until_offline_ready(page)
    # Until then some pages of records may be missing where the network goes next.
    exchange(page)
    page.goto(f"{tablet.address}/app/#/me")
    expect(page.get_by_text("Pages “Theatre and surgery”: kept on this device")).to_be_visible()
    # On a busy machine these tests touch a page less often than people do.
    page.get_by_label("10 minutes").check()
    return tablet, page


def open_eye(page: Page, whose: ListedEye = WREN) -> None:
    """Open the eye from the list of the day."""
    page.get_by_role("link", name="Theatre", exact=True).click()
    page.get_by_role("link", name=f"{whose.word}, {whose.person}").click()
    expect(page.get_by_role("heading", name="What the person says")).to_be_visible()


def say_who(page: Page, marked: str = WREN.mark) -> None:
    """Answer what is asked before the box."""
    for word in ("name", "birth"):
        # Asked first: the answer is not on the page before.
        page.get_by_role("button", name=f"Answered: show ours, {word}").click()
        page.get_by_role("button", name=f"The same, {word}", exact=True).click()
    page.get_by_label(SECOND).check()
    page.get_by_label("At the head").check()
    page.get_by_role("button", name=marked).click()


def scan(page: Page, name: str) -> None:
    """Give the tablet a picture of a code."""
    fold = page.locator("details").filter(has_text="No camera")
    fold.evaluate("(element) => { element.open = true; }")
    file = {"name": "box.png", "mimeType": "image/png", "buffer": picture(name)}
    page.get_by_label("A picture of the code").set_input_files([file])  # type: ignore[list-item]


def confirm(page: Page) -> None:
    """As the second person, say what is asked and sign with one's own passphrase."""
    page.get_by_label("I have seen the marks of the lens").check()
    page.get_by_label("The axis was said aloud").check()
    expect(page.get_by_label(f"Passphrase of {SECOND}")).to_be_focused()
    page.keyboard.type(PASSPHRASE)
    page.keyboard.press("Enter")
    expect(page.get_by_text("Checked by two people")).to_be_visible()


def stops(page: Page, field: str) -> None:
    """See the stop, with what differs in the first row, and no way on with this box."""
    expect(page.get_by_role("heading", name="Stop. Not the lens for this eye.")).to_be_focused()
    expect(page.locator("tr.differs").first).to_contain_text(field)
    expect(page.get_by_role("button", name=re.compile("keep the check|Confirm"))).to_have_count(0)
