"""What to measure next and the working of a plan, on a phone 360 pixels wide."""

import re

import pytest
from playwright.sync_api import Page, expect

from demo_fixtures.people import PEOPLE
from tests.browser.base import Base
from tests.browser.phone import Launch

pytestmark = pytest.mark.browser

STEPS = 12
WIDER_THAN_SCREEN = "() => document.documentElement.scrollWidth > window.innerWidth"


def open_working(page: Page) -> None:
    """Follow the link of a plan or a case and wait for the steps."""
    page.get_by_role("link", name="Show the working").click()
    expect(page.locator("ol.working > li")).to_have_count(STEPS)


class TestWorking:
    """From the surgeon's case."""

    def test_steps_can_be_read_and_printed(self, base: Base, launch: Launch) -> None:
        """Twelve steps on the narrow screen; formulas as they are said; paper without buttons."""
        assert base.address
        page = launch("surgeon").sign_in("verrill")
        page.get_by_role("navigation").get_by_role("link", name="Queue").click()
        page.locator("a.case-row[href^='#/case/']").first.click()
        expect(page.get_by_role("heading", name="Findings")).to_be_visible()
        open_working(page)
        assert not page.evaluate(WIDER_THAN_SCREEN)
        first = page.locator("ol.working > li").nth(1)
        expect(first).to_contain_text("F c equals F s times, I minus V F s, inverse.")
        expect(first.locator("sub").first).to_have_text("c")
        lens = page.locator(".read-back").inner_text()
        expect(page.locator("main")).to_contain_text(re.compile("What this lens leaves"))
        page.emulate_media(media="print")
        expect(page.get_by_role("button", name="Print")).to_be_hidden()
        page.emulate_media(media="screen")
        page.get_by_role("link", name="Back to Case").click()
        expect(page.get_by_role("heading", name="Findings")).to_be_visible()
        assert re.match(r"(Right|Left) eye: sphere ", lens)


class TestProposedLens:
    """On the surgeon's case."""

    def test_stands_between_the_findings_and_the_readings(self, base: Base, launch: Launch) -> None:
        """The lens that is chosen far below, with its promise, and every stop before it."""
        assert base.address
        page = launch("surgeon").sign_in("verrill")
        page.get_by_role("navigation").get_by_role("link", name="Queue").click()
        page.locator("a.case-row[href^='#/case/']").first.click()
        heads = page.locator("main .section-head h2")
        expect(heads.get_by_text("Readings")).to_be_visible()
        words = heads.all_inner_texts()
        place = words.index("Lens proposed")
        assert (words[place - 1], words[place + 1]) == ("Findings", "Readings")
        lens = page.locator(".section-head", has_text="Lens proposed").locator("+ p")
        chosen = page.get_by_role("radiogroup", name="Lens", exact=True)
        taken = chosen.locator("[aria-checked=true] .t-value").inner_text()
        expect(lens.locator(".t-value")).to_have_text(taken)
        expect(lens.locator("+ p")).to_contain_text("Of 100 such eyes")
        after = page.locator(".finding.stop").evaluate_all(
            "(stops) => stops.filter((one) => document.querySelector('main .t-value')"
            ".compareDocumentPosition(one) & Node.DOCUMENT_POSITION_FOLLOWING).length"
        )
        assert after == 0


class TestMeasureNext:
    """On the optometrist's plan."""

    def test_gain_leads_to_the_reading(self, base: Base, launch: Launch) -> None:
        """A line says now and after; pressing it opens the capture of that reading."""
        assert base.address
        page = launch("camp").sign_in("ambler", "Saltpan camp")
        person = next(one for one in PEOPLE if one.site == "saltpan")
        page.get_by_role("link", name=person.name).click()
        page.locator("a.btn").filter(has_text="Right eye").first.click()
        line = page.get_by_role("link", name=re.compile("Sulcus scan"))
        expect(line).to_contain_text(re.compile(r"[0-9]+ in 100 now, about [0-9]+ in 100 after it"))
        line.click()
        page.wait_for_url(re.compile(r"#/capture/.+/R/sulcus_to_sulcus$"))
