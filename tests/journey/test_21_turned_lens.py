"""A toric lens that lies 15 degrees from where it was meant: what turning it back would gain (H33).

Worked figure, invented eye: -9.00 -2.50 x 14, cornea 42.50 / 44.50 at 100, depth 3.05 mm from the
endothelium, cornea 0.52 mm, vault 500 um, so the lens lies at 3.07 mm. A lens -10.00 -2.00 at 178
that leaves +0.50 -1.00 x 42 is best turned by +15.56 degrees, counter-clockwise facing the patient,
to 13.6; then +0.16 -0.31 x 13.6 is left. Closed form; a numerical optimum in the spectacle plane
(scipy) gives 15.5634. Gain: blur strength sqrt(M^2 + J0^2 + J45^2) is 0.50 before, 0.155 after.
"""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.phone import Launch, keep_person
from tests.journey import deciding, eyes, operating
from tests.journey.measuring import (
    Answer,
    answer,
    ask_the_person,
    choice,
    device,
    give,
    number,
    take_all,
)
from tests.journey.page_checks import problems
from tests.journey.test_19_exchange import be_sure
from webapp.demo_people import PASSPHRASE

pytestmark = pytest.mark.browser

PERSON, EYE, SERIAL = "Brona Selwick", "Right eye", "TI-TURNED"
BEFORE = (
    eyes.refraction("-9.00", "-2.50", "14"),
    eyes.cornea("42.50", "44.50", "100"),
    eyes.depth("3.05"),
    eyes.diameter("11.62"),
    *eyes.REST,
)
MEANT_DEG, SEEN_DEG = "13", "178"
LENS = {
    "Model on the label": "Model A-t",
    "Sphere on the label": "-10.00",
    "Cylinder on the label": "-2.00",
    "Axis on the label": MEANT_DEG,
    "Length on the label": "12.60",
}
# Quantity, then its answers in the order asked.
AFTER: dict[str, tuple[Answer, ...]] = {
    "Refraction after surgery": (
        *(number("+0.50"), number("-1.00"), number("42"), choice("At the glasses"), number("12.0")),
    ),
    "Vault": (choice("Dim (mesopic)"), device("scanner 2"), number("500")),
    "Axis of the lens": (number(SEEN_DEG), choice("Keep: at the slit lamp")),
}


def measure(page: Page) -> str:
    """Register and measure the person at the camp; return the person's id."""
    keep_person(page, PERSON)
    ask_the_person(page)
    take_all(page, EYE, BEFORE)
    found = re.search("#/person/([^/]+)$", page.url)
    assert found
    operating.send_and_fetch(page)
    return found[1]


def operate(page: Page, person: str) -> None:
    """Record the surgery of a lens that was not ordered here, as its label has it."""
    operating.send_and_fetch(page)
    operating.begin(page, person, "R")
    for label, typed in LENS.items():
        page.get_by_label(label).fill(typed)
    operating.give_serial(page, SERIAL)
    answer(page, "What happened", "Nothing unusual")
    operating.keep(page, SERIAL)
    operating.send_and_fetch(page)


def see_again(page: Page, person: str) -> None:
    """Read refraction, vault and the marks of the lens at the camp."""
    operating.send_and_fetch(page)
    rows = page.get_by_role("list", name="After surgery, right eye")
    for quantity, answers in AFTER.items():
        operating.open_person(page, person)
        expect(rows).to_be_visible(timeout=60_000)
        rows.get_by_role("link", name=re.compile(f"^{quantity}")).click()
        expect(page.get_by_role("heading", name=quantity).first).to_be_visible()
        give(page, answers)
        expect(page.get_by_role("status").filter(has_text="Kept")).to_be_visible()
    operating.send_and_fetch(page)


def test_turned_by_fifteen_degrees(launch: Launch) -> None:
    """The axis seen at the camp leads to a turn with its way, its meridian and its gain."""
    camp = launch("camp").sign_in("ambler", "Saltpan camp")
    person = measure(camp)
    page = launch("surgeon").sign_in("verrill")
    operate(page, person)
    see_again(camp, person)

    operating.send_and_fetch(page)
    page.goto(page.url.split("#")[0] + f"#/exchange/{person}/R")
    expect(page.get_by_text("Check these first")).to_be_visible(timeout=60_000)
    expect(page.get_by_text("Turn it to its axis")).to_have_count(0)
    be_sure(page)
    turn = page.locator(".alternative").filter(has_text="Turn it to its axis")
    expect(turn).not_to_contain_text("not here")
    words = turn.inner_text()
    assert "by 15.6 degrees counter-clockwise, facing the patient" in words
    assert "axis lies at 14" in words
    leaves = re.search(r"leaves\s+\+([0-9.]+)\s+−([0-9.]+)\s×\s([0-9]+)", words)
    gains = re.search(r"gains\s+\+?([0-9.]+) D", words)
    assert leaves, words
    assert gains, words
    sphere, cylinder, axis = map(float, leaves.groups())
    assert (sphere, cylinder) == pytest.approx((0.16, 0.31), abs=0.011)
    assert axis == pytest.approx(13.6, abs=0.5)
    assert float(gains[1]) == pytest.approx(0.50 - 0.155, abs=0.011)
    assert problems(page) == {}
    decide(page)


def decide(page: Page) -> None:
    """The surgeon chooses to turn it, and signs."""
    page.get_by_role("radio", name="Turn it to its axis").check()
    deciding.see_cautions(page)
    deciding.read_to_end(page)
    page.get_by_role("button", name="Decide for the right eye").click()
    sheet = page.get_by_role("dialog")
    sheet.get_by_label("Your passphrase, again").fill(PASSPHRASE)
    sheet.get_by_role("button", name="Sign: ").click()
    kept = page.get_by_role("status").filter(has_text="Kept")
    expect(kept).to_contain_text(re.compile("turn", re.IGNORECASE))
