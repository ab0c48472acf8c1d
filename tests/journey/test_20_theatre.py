"""In theatre: the list of the day, a check by two people with no network, and the surgery after it.

The pictures of the codes were drawn by another program and are read on the tablet itself.
"""

import re
from datetime import date

import pytest
from playwright.sync_api import Page, expect

from tests.browser.base import Base
from tests.browser.phone import Launch, unlock
from tests.journey import boxes
from tests.journey import in_theatre as theatre
from tests.journey.deciding import exchange
from tests.journey.desk import Desk
from tests.journey.page_checks import problems, shot

pytestmark = pytest.mark.browser

SIZES = ((360, 740), (768, 1024), (1280, 800))
THEMES = ("light", "dusk", "lamp")
# Taps from the scanned box to the second person's confirmation: fewer than five.
MOST_TAPS = 4
COUNT_TAPS = """() => {
  globalThis.taps = 0;
  addEventListener("pointerdown", () => { globalThis.taps += 1; }, true);
}"""


def looks(page: Page, name: str) -> dict[str, object]:
    """Return what is wrong with the page as it stands, at each size, each in another theme."""
    found: dict[str, object] = {}
    for theme, (width, height) in zip(THEMES, SIZES, strict=True):
        page.evaluate("(theme) => { document.documentElement.dataset.theme = theme; }", theme)
        page.set_viewport_size({"width": width, "height": height})
        shot(page, f"{name}-{theme}-{width}")
        found |= {f"{name} {theme} {what}": said for what, said in problems(page).items()}
    page.set_viewport_size({"width": 768, "height": 1024})
    return found


class TestCheckedByTwo:
    """The right box."""

    def test_offline_then_sent_then_operated(self, base: Base, desk: Desk, launch: Launch) -> None:
        """From the box at the base to the check that has arrived; pages usable all the way."""
        desk.sign_in()
        theatre.release_box(desk)
        theatre.put_on_list(desk)
        _tablet, page = theatre.tablet_of_two(launch)
        base.stop()
        page.reload()
        unlock(page)
        open_eye_and_check(page)
        base.start()
        page.get_by_role("link", name="List of the day").click()
        exchange(page)
        expect(page.get_by_text("Everything has arrived")).to_be_visible()
        page.get_by_role("link", name="Theatre", exact=True).click()
        expect(page.get_by_text("Checked in theatre by two people")).to_be_visible()
        name_check_in_surgery(launch("surgeon").sign_in("verrill"), page.url)
        exchange(page)
        page.get_by_role("link", name="Theatre", exact=True).click()
        expect(page.get_by_text(re.compile("^1 of [0-9]+ done$"))).to_be_visible()
        done = page.get_by_role("listitem").filter(has_text="Surgery recorded")
        expect(done).to_contain_text(theatre.WREN.person)
        expect(done).to_contain_text("Serial number SER9")


class TestStopped:
    """What must not be implanted."""

    def test_other_eye_other_box_and_the_end(self, desk: Desk, launch: Launch) -> None:
        """The other eye's mark and readings that differ stop; an expired box ends it."""
        desk.sign_in()
        theatre.release_box(desk)
        theatre.put_on_list(desk)
        _tablet, page = theatre.tablet_of_two(launch)
        theatre.open_eye(page)
        theatre.say_who(page, marked="Right eye, OD")
        theatre.stops(page, "Eye")
        found = looks(page, "stop")
        page.get_by_role("button", name="Look at the mark on the eye again").click()
        page.get_by_role("button", name="Left eye, OS").click()
        page.get_by_role("button", name="To the box").click()
        read_differently(page)
        theatre.stops(page, "Serial number")
        page.get_by_role("button", name="Put this box aside").click()
        theatre.scan(page, "expired")
        theatre.stops(page, "Use by")
        page.get_by_role("button", name="End without implanting").click()
        expect(page.get_by_text("Ended without implanting, and kept")).to_be_visible()
        expect(page.get_by_text("Stopped in theatre").first).to_be_visible()
        found |= looks(page, "ended")
        assert found == {}

    def test_do_not_implant(self, desk: Desk, launch: Launch) -> None:
        """At the very first step the eye can be ended, with a reason; it is ready no more."""
        desk.sign_in()
        theatre.release_box(desk)
        theatre.put_on_list(desk)
        _tablet, page = theatre.tablet_of_two(launch)
        theatre.open_eye(page)
        page.get_by_role("button", name="Do not implant").click()
        page.get_by_role("dialog").get_by_label("the person or the eye", exact=False).check()
        page.get_by_label("In a few words").fill("She gave another name.")
        found = looks(page, "end-sheet")
        page.get_by_role("button", name="End: do not implant").click()
        expect(page.get_by_text("Ended without implanting, and kept")).to_be_visible()
        page.get_by_role("link", name="Back to the list of the day").click()
        expect(page.get_by_text("Not ready").first).to_be_visible()
        assert found == {}


def read_differently(page: Page) -> None:
    """Two people read the box, and one of them misreads the serial number."""
    fold = page.locator("details").filter(has_text="No camera")
    fold.evaluate("(element) => { element.open = true; }")
    page.get_by_role("button", name="Two people read the box instead").click()
    expect(page.get_by_text("SER9")).to_have_count(0)
    boxes.fill(page, boxes.TRACED)
    page.get_by_role("button", name="Hide it, hand it to the second person").click()
    # Neither the first reading nor the released label is shown to the second person.
    expect(page.get_by_text("SER9")).to_have_count(0)
    boxes.fill(page, boxes.TRACED | {"Serial number": "SER8"})
    page.get_by_role("button", name="Compare both readings").click()


def name_check_in_surgery(page: Page, address: str) -> None:
    """On another phone, record the surgery: another serial stops, the checked one is named."""
    page.get_by_role("link", name="People").click()
    page.get_by_role("link", name=re.compile(theatre.WREN.person)).click()
    person = page.url.rpartition("/")[2]
    page.goto(f"{address.split('#', maxsplit=1)[0]}#/surgery/{person}/L")
    page.get_by_label("Yes, by two people").check()
    assert page.get_by_label("Serial number of the lens").get_by_role("textbox").count() == 0
    page.get_by_label("Day of surgery").fill(date.today().isoformat())
    page.get_by_label("Who operated").fill(theatre.SECOND)
    page.get_by_label("Exactly this lens").check()
    page.get_by_label("On the label").check()
    assert page.get_by_label("Serial number", exact=True).input_value() == ""
    page.get_by_label("Serial number", exact=True).fill("SER8")
    page.get_by_label("Nothing unusual").check()
    page.get_by_role("button", name="Keep the surgery").click()
    expect(page.get_by_role("alert")).to_contain_text("of another serial number")
    page.get_by_label("Serial number", exact=True).fill("SER9")
    page.get_by_role("button", name="Keep the surgery").click()
    page.wait_for_url(f"**#/person/{person}")
    page.goto(f"{address.split('#', maxsplit=1)[0]}#/people")
    expect(page.get_by_role("link", name="Add a person")).to_be_visible()
    exchange(page)
    expect(page.get_by_text("Everything has arrived")).to_be_visible()


def open_eye_and_check(page: Page) -> None:
    """Check the box on the tablet; count the taps after the scan."""
    found: dict[str, object] = {}
    page.get_by_role("link", name="Theatre", exact=True).click()
    row = page.get_by_role("link").filter(has_text=theatre.WREN.person)
    expect(row.get_by_text("Ready for the check in theatre")).to_be_visible()
    found |= looks(page, "list")
    theatre.open_eye(page)
    found |= looks(page, "who")
    band = page.get_by_role("group", name="Left eye, OS")
    expect(band).not_to_contain_text("born")
    theatre.say_who(page)
    page.get_by_role("button", name="To the box").click()
    expect(page.get_by_role("heading", level=1)).to_be_focused()
    expect(band).to_contain_text("born 19")
    found |= looks(page, "box")
    theatre.scan(page, "right")
    expect(page.get_by_role("cell", name="SER9")).to_have_count(2)
    found |= looks(page, "read")
    page.evaluate(COUNT_TAPS)
    page.get_by_role("button", name="The box says the same").click()
    expect(page.get_by_text("the first check is kept")).to_be_visible()
    confirm_and_look(page, found)


def confirm_and_look(page: Page, found: dict[str, object]) -> None:
    """Confirm as the second person."""
    found |= looks(page, "second")
    theatre.confirm(page)
    taps = page.evaluate("globalThis.taps")
    print(f"{taps} taps from the scanned box to the second person's confirmation")
    found |= looks(page, "done")
    assert found == {}
    assert taps <= MOST_TAPS
