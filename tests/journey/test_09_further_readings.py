"""What a camp adds where it can: old paper, a map of the cornea, questions about health."""

import os
import re
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.phone import Launch, keep_person
from tests.journey import eyes
from tests.journey.measuring import (
    Reading,
    answer,
    back_to_person,
    choice,
    device,
    give,
    number,
    open_quantity,
    take,
)
from tests.journey.page_checks import problems

pytestmark = pytest.mark.browser

NAME = "Ilse Hartnoll"
EYE = "Right eye"
MORE = re.compile("^More readings, if you can")
MAP = Reading("Corneal tomography", (
    choice("Steepest power and the difference"), number("46.10"), number("+0.40"), choice("2"),
    choice("No warning"), choice("Now, with this reading"), device("scanner 2"),
))  # fmt: skip


@pytest.fixture
def page(launch: Launch) -> Page:
    """Give a camp phone's tab with a new person whose refraction was taken."""
    tab = launch("camp").sign_in("ambler", "Saltpan camp")
    keep_person(tab, NAME)
    take(tab, EYE, eyes.refraction("-9.00", "-2.50", "15"))
    return tab


def picture(page: Page, name: str, of: Locator | None = None) -> None:
    """Keep a picture where somebody wants to look at the pages, and nothing otherwise."""
    if folder := os.environ.get("LAMPSIDE_PICTURES"):
        if of:
            of.scroll_into_view_if_needed()
        page.screenshot(path=Path(folder) / f"{name}.png")


def test_person_page_is_no_longer_than_before(page: Page) -> None:
    """The further readings stand folded, and unfold to rows like the others."""
    row = page.get_by_role("link", name=re.compile("^Right eye, O[DS], Corneal tomography:", re.I))
    expect(row).to_be_hidden()
    picture(page, "person_folded", page.get_by_text(MORE))
    page.get_by_text(MORE).click()
    expect(row).to_be_visible()
    picture(page, "person_unfolded", row)


def test_an_old_prescription_shows_stability(page: Page) -> None:
    """With the date that stands on it; a date of today is refused at the button."""
    expect(page.get_by_text("Stability not shown")).to_be_visible()
    page.get_by_text(MORE).click()
    open_quantity(page, EYE, "Earlier refraction")
    give(page, (choice("A prescription"),))
    expect(page.get_by_role("button", name="Give the date first")).to_be_visible()
    picture(page, "earlier_date")
    page.get_by_label("Date it was made").fill("2199-01-01")
    expect(page.get_by_role("button", name="A day before today is needed")).to_be_visible()
    page.get_by_label("Date it was made").fill("2024-03-01")
    page.get_by_role("button", name="Keep date it was made, go to sphere").click()
    give(page, eyes.refraction("-8.75", "-2.50", "15").answers)
    expect(page.get_by_role("status").filter(has_text="Kept")).to_contain_text(
        "from a prescription, 1 Mar 2024"
    )
    picture(page, "earlier_kept")
    back_to_person(page)
    expect(page.get_by_text(re.compile(r"More readings, if you can \(1 taken\)"))).to_be_visible()
    expect(page.get_by_text("Stability not shown")).to_have_count(0)


def test_a_doubtful_map_stops(page: Page) -> None:
    """A grade that the device gives stops until stability is shown."""
    page.get_by_text(MORE).click()
    take(page, EYE, MAP)
    stop = page.get_by_text("Cornea may be giving way")
    expect(stop).to_be_visible()
    picture(page, "map_stops", stop)


def test_an_old_print_says_how_old(page: Page) -> None:
    """It is taken with the day on it, never as a map of today, and a caution says its age."""
    page.get_by_text(MORE).click()
    open_quantity(page, EYE, MAP.quantity)
    give(page, MAP.answers[:-2])
    expect(page.get_by_role("button", name="Choose one first")).to_be_visible()
    picture(page, "map_when")
    page.get_by_role("button", name="Earlier, such as a print").click()
    expect(page.get_by_role("button", name="Give the date first")).to_be_visible()
    day = page.get_by_label("Day on it")
    day.fill("2199-01-01")
    expect(page.get_by_role("button", name="A day before today is needed")).to_be_visible()
    day.fill("2024-03-01")
    picture(page, "map_dated")
    assert problems(page) == {}
    page.get_by_role("button", name="Keep day the map was made, go to device").click()
    give(page, MAP.answers[-1:])
    expect(page.get_by_role("status").filter(has_text="Kept")).to_contain_text("map of 1 Mar 2024")
    picture(page, "map_kept")
    back_to_person(page)
    old = page.get_by_text("Old readings: corneal tomography")
    expect(old).to_be_visible()
    picture(page, "map_old", old)


def test_general_health(page: Page) -> None:
    """Asked beside the other questions; what is there comes first."""
    page.get_by_role("link", name="Ask, if you can").click()
    answer(page, "Rheumatic or connective tissue disease?", "No")
    answer(page, "Diabetes?", "Yes")
    answer(page, "Takes blood thinners?", "Not asked")
    answer(page, "Allergy to medicines or eye drops?", "No")
    page.get_by_role("button", name="Keep the answers").click()
    expect(page.get_by_role("alert")).to_contain_text("Choose yes, no, or not asked.")
    answer(page, "Dry, burning or itching eyes?", "No")
    page.get_by_label("Which, and since when").fill("Since 2019, tablets")
    picture(page, "health")
    page.get_by_role("button", name="Keep the answers").click()
    expect(page.get_by_text("Yes: Diabetes. Since 2019, tablets.")).to_be_visible()
    expect(page.get_by_text("Not asked: Takes blood thinners.")).to_be_visible()
    expect(page.get_by_text(re.compile("General health$")).first).to_be_visible()
    picture(page, "health_kept")
