"""Every page in every theme, on a phone and on a desk, for eyes, fingers and screen readers."""

import re
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.phone import Launch, unlock
from tests.journey import deciding
from tests.journey.desk import Desk
from tests.journey.page_checks import DESK_THEMES, SIZES, THEMES, in_every_look, problems

pytestmark = pytest.mark.browser


def person(number: int) -> str:
    """Return the id of one of the demo's people, see demo_fixtures/people.py."""
    return f"0193a5c0-00{number:02d}-7000-8000-0000000000{number:02d}"


BEGUN, STALE, CONFLICT, RETURNED, QUEUED, NEW = (person(number) for number in (1, 4, 5, 6, 8, 11))
OPERATED = person(12)
CAMP_PAGES = (
    "#/sign-in/online",
    "#/people",
    "#/new-person",
    f"#/person/{BEGUN}",
    f"#/person/{NEW}/answers",
    f"#/person/{NEW}/health",
    f"#/person/{NEW}/registration",
    f"#/person/{OPERATED}",
    f"#/contact/{OPERATED}/R",
    f"#/visit/{OPERATED}/R",
    "#/follow-up",
    "#/sign-in/stuck",
    f"#/capture/{BEGUN}/L/pupil",
    f"#/capture/{BEGUN}/R/refraction",
    f"#/capture/{NEW}/L/keratometry",
    f"#/plan/{BEGUN}/R",
    f"#/plan/{BEGUN}/L",
    f"#/working/{BEGUN}/R",
    f"#/working/{BEGUN}/L",
    "#/outbox",
    "#/me",
)
SURGEON_PAGES = (
    "#/queue",
    f"#/case/{QUEUED}/R",
    f"#/case/{QUEUED}/L",
    f"#/case/{STALE}/R",
    f"#/case/{CONFLICT}/R",
)
DESK_PAGES = (
    "/",
    "/desk/",
    "/desk/?state=approved",
    f"/desk/person/{BEGUN}",
    f"/desk/case/{BEGUN}/R",
    f"/desk/case/{STALE}/R",
    f"/desk/case/{QUEUED}/L",
    f"/desk/case/{BEGUN}/R/working",
    "/desk/devices",
    "/desk/kept-apart",
    "/desk/?site=saltpan",
    "/desk/orders/",
    "/desk/recall",
    "/desk/theatre",
    "/desk/theatre/sheet",
    "/desk/theatre/sheet?code=x",
    f"/desk/recall/{OPERATED}/R",
    f"/desk/urgent/{OPERATED}/R",
    f"/desk/person/{BEGUN}/join/{STALE}",
)
OF_AN_ORDER = ("", "/confirmation")
AUDITORS_PAGES = ("/desk/cases", "/desk/cases/cautions", "/desk/results", "/desk/")


def settled(page: Page) -> None:
    """Wait until a page of the app has drawn what it is about."""
    expect(page.locator("main")).to_be_visible()
    expect(page.get_by_text("about 1 second")).to_have_count(0)


def looks(page: Page, addresses: tuple[str, ...]) -> Iterator[tuple[str, Any]]:
    """Look at app pages in every theme and size; give what is wrong with each."""
    for address in addresses:
        page.goto(page.url.split("#")[0] + address)
        settled(page)
        yield address, in_every_look(page)


def use_theme(page: Page, theme: str) -> None:
    """Start the app anew in a theme."""
    page.evaluate("(theme) => localStorage.setItem('lampside.theme', theme)", theme)
    page.reload()
    unlock(page)
    expect(page.locator("html")).to_have_attribute("data-theme", theme)


def test_pages_of_the_camp(launch: Launch) -> None:
    """The optometrist's pages."""
    page = launch("camp").sign_in("ambler", "Saltpan camp")
    expect(page.get_by_role("link", name="Maren Tolley")).to_be_visible()
    assert {name: wrong for name, wrong in looks(page, CAMP_PAGES) if wrong} == {}


def test_pages_of_the_surgeon(launch: Launch) -> None:
    """The surgeon's pages, and what opens over them."""
    page = launch("surgeon").sign_in("verrill")
    expect(page.get_by_role("link", name="Elke Strand").first).to_be_visible()
    found = dict(looks(page, SURGEON_PAGES))
    for theme in THEMES:
        use_theme(page, theme)
        found |= {f"{sheet} {theme}": wrong for sheet, wrong in sheets(page)}
    assert {name: wrong for name, wrong in found.items() if wrong} == {}


def sheets(page: Page) -> Iterator[tuple[str, Any]]:
    """Open each sheet of the surgeon's page on a phone; give what is wrong with it."""
    page.set_viewport_size({"width": SIZES[0][0], "height": SIZES[0][1]})
    page.goto(page.url.split("#")[0] + "#/queue")
    deciding.open_from_queue(page, "Elke Strand", "Right eye")
    deciding.see_cautions(page)
    deciding.read_to_end(page)
    for button in ("Another available lens", "Ask", "Decline", "Approve right eye"):
        page.get_by_role("button", name=button, exact=True).click()
        expect(page.get_by_role("dialog")).to_be_visible()
        yield button, problems(page)
        page.keyboard.press("Escape")
        expect(page.get_by_role("dialog")).to_have_count(0)


ADMINISTRATORS_PAGES = (
    "/desk/people", "/desk/catalogue", "/desk/audit-log", "/desk/resets", "/desk/passphrase",
    "/desk/cores",
)  # fmt: skip


def test_pages_of_the_desk(desk: Desk) -> None:
    """The base desk's pages, an order, and the pages of administrator and surgeon."""
    page = desk.sign_in()
    desk.open_case("Ines Calder", "right eye")
    page.get_by_role("link", name="Open the order").click()
    order = page.url.removeprefix(desk.address)
    desk.open_case("Tamsin Dray", "left eye")
    page.get_by_role("link", name="Open the order of the left eye").click()
    page.get_by_role("link", name="Check the box that came").click()
    box = page.url.removeprefix(desk.address)
    page.goto(f"{desk.address}/desk/theatre")
    # Of the demo: one eye is on today's list already.
    moved = page.get_by_role("link", name=re.compile("^Move or take off")).get_attribute("href")
    further = (*(order + part for part in OF_AN_ORDER), box, str(moved))
    found = dict(desk_looks(desk, (*DESK_PAGES, *further)))
    page.get_by_role("button", name="Sign out").click()
    found |= dict(desk_looks(desk, ("/desk/sign-in", "/desk/new-passphrase")))
    desk.sign_in("rook")
    found |= dict(desk_looks(desk, ADMINISTRATORS_PAGES))
    page.goto(f"{desk.address}/desk/devices")
    page.get_by_role("link", name="Saltpan phone").click()
    found |= dict(desk_looks(desk, (page.url.removeprefix(desk.address),)))
    page.get_by_role("button", name="Sign out").click()
    desk.sign_in("verrill")
    found |= dict(desk_looks(desk, ("/desk/vault-models", "/desk/results")))
    page.get_by_role("button", name="Sign out").click()
    desk.sign_in("birch")
    found |= dict(desk_looks(desk, AUDITORS_PAGES))
    page.goto(f"{desk.address}/desk/cases")
    page.get_by_text("Ask").first.click()
    page.get_by_role("button", name="Show whose it is").first.click()
    expect(page.get_by_text("Camp code")).to_be_visible()
    found |= in_every_look(page, DESK_THEMES)
    assert {name: wrong for name, wrong in found.items() if wrong} == {}


def test_dark_pages_of_the_desk_stay_dark(desk: Desk) -> None:
    """Chosen once, on every page from then on, until light is chosen again."""
    page = desk.sign_in()
    choose_theme(page, "dusk")
    page.goto(f"{desk.address}/desk/orders/")
    expect(page.locator("html")).to_have_attribute("data-theme", "dusk")
    assert problems(page) == {}
    choose_theme(page, "light")
    page.reload()
    expect(page.locator("html")).to_have_attribute("data-theme", "light")


def choose_theme(page: Page, theme: str) -> None:
    """Choose light or dusk, which the desk offers by the button of the other one."""
    page.get_by_role("button", name="Light pages" if theme == "light" else "Dark pages").click()
    expect(page.locator("html")).to_have_attribute("data-theme", theme)


def desk_looks(desk: Desk, addresses: tuple[str, ...]) -> Iterator[tuple[str, Any]]:
    """Look at desk pages in every theme and size; give what is wrong with each."""
    for address in addresses:
        desk.page.goto(desk.address + address)
        yield address, in_every_look(desk.page, DESK_THEMES)


def test_a_broken_page_is_noticed(desk: Desk) -> None:
    """The checks see what they are for: a nameless picture, a tiny button, a line too wide."""
    page = desk.sign_in()
    page.evaluate(BREAK)
    assert sorted(problems(page)) == ["axe", "sideways", "targets"]


def test_a_colour_of_the_other_theme_is_noticed(desk: Desk) -> None:
    """Ink that is dark in every theme is legible on light paper alone."""
    page = desk.sign_in()
    page.evaluate(INK)
    assert sorted(in_every_look(page, DESK_THEMES)) == ["axe 1280 dusk", "axe 360 dusk"]


INK = """() => {
  const line = Object.assign(document.createElement("p"), { textContent: "Written in ink" });
  line.style.color = "#111";
  document.querySelector("main").append(line);
}"""

BREAK = """() => {
  const main = document.querySelector("main");
  main.append(document.createElement("img"));
  const button = Object.assign(document.createElement("button"), { textContent: "x" });
  button.style.cssText = "min-height: 0; min-width: 0; width: 12px; height: 12px; padding: 0";
  const wide = Object.assign(document.createElement("div"), { textContent: "wide" });
  wide.style.width = "3000px";
  main.append(button, wide);
}"""
