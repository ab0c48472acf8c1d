"""A visit after surgery on a phone: how many taps and how long it takes to follow one eye.

The optometrist's own time is counted by published operators of the keystroke-level model (Card,
Moran and Newell, Communications of the ACM 23, 1980; from memory): 1.1 s to point at a target and
1.35 s to think before each quantity. What the phone takes itself is measured and added.
"""

import re
import time

import pytest
from playwright.sync_api import Page, expect

from tests.browser.base import Base
from tests.browser.phone import Launch, unlock
from tests.journey.measuring import Answer, choice, device, give, press_keys
from tests.journey.page_checks import problems
from tests.journey.test_17_follow_up import open_person

pytestmark = pytest.mark.browser

MOST_TAPS = 40
MOST_S = 60
POINT_S, THINK_S = 1.1, 1.35
COUNT_TAPS = """() => {
  window.taps = 0;
  const count = ({ isTrusted }) => { window.taps += isTrusted ? 1 : 0; };
  document.addEventListener("click", count, true);
}"""
# One tap each; a text of digits is one tap a digit. Invented values of an ordinary eye.
VISIT = {
    "Acuity after surgery": ("0", "0", "4", "Keep: without glasses"),
    "Refraction after surgery": (
        *("plus", "0", "point 25 dioptres"),
        *("minus", "0", "point 50 dioptres"),
        *("8", "5", "At the glasses", "12.0", "Keep refraction after surgery"),
    ),
    "Vault": ("Dim (mesopic)", "scanner 2", "4", "8", "0", "Keep vault"),
    "Pressure after surgery": ("tonometer 1", "1", "4", "Keep pressure after surgery"),
    # The light was said at the vault.
    "Pupil after surgery": ("5", "8", "0", "Keep pupil after surgery"),
    "Angle after surgery": ("Gonioscopy (grade)", "3", "Keep angle after surgery"),
    "Axis of the lens": ("1", "6", "8", "Keep: at the slit lamp"),
    "Clarity of the natural lens": ("Keep: clear",),
}
SAID_BACK = (
    "acuity after surgery 0.04 logMAR, without glasses",
    "plus 0.25, cylinder minus 0.50 at 85, at the glasses, vertex 12.0 mm",
    "vault 480 µm, dim (mesopic), scanner 2",
    "pressure after surgery 14 mmHg, tonometer 1",
    "pupil after surgery 5.80 mm, dim (mesopic)",
    "axis of the lens 168°, at the slit lamp",
)


def used_before(page: Page, quantity: str, answers: tuple[Answer, ...], digits: str) -> None:
    """Take one reading by itself, so that the phone has met the device."""
    rows = page.get_by_role("list", name="After surgery, right eye")
    rows.get_by_role("link", name=re.compile(f"^{quantity}")).click()
    expect(page.get_by_role("heading", name=quantity).first).to_be_visible()
    page.get_by_role("button", name=re.compile("^Take (a )?reading")).click()
    give(page, answers)
    keep_number(page, digits, f"Keep {quantity.lower()}")
    expect(page.get_by_role("status").filter(has_text="Kept")).to_be_visible()
    open_person(page)


def keep_number(page: Page, digits: str, button: str) -> None:
    """Type the last number of a reading and keep it, once the lens in the eye is known."""
    press_keys(page, digits)
    page.get_by_role("button", name=button).click()


def tap(page: Page, name: str) -> None:
    """Tap a button by its name; a short digit stands on the keypad."""
    page.get_by_role("button", name=name, exact=True).tap()


def test_one_eye_is_followed_in_a_minute(base: Base, launch: Launch) -> None:
    """Eight quantities of one eye, offline: taps and time, and everything is said back."""
    camp = launch("camp")
    page = camp.sign_in("ambler", "Saltpan camp")
    open_person(page)
    used_before(page, "Vault", (choice("Dim (mesopic)"), device("scanner 2")), "500")
    used_before(page, "Pressure after surgery", (device("tonometer 1"),), "15")
    camp.wait_until_offline_ready(page)
    base.stop()
    page.reload()
    unlock(page)
    open_person(page)
    page.evaluate(COUNT_TAPS)
    began = time.monotonic()
    page.get_by_role("link", name="Take this visit, right eye").tap()
    for quantity, taps in VISIT.items():
        expect(page.get_by_role("heading", name=quantity).first).to_be_visible()
        for name in taps:
            tap(page, name)
    expect(page.get_by_role("heading", name="Kept in this visit")).to_be_visible()
    machine_s = time.monotonic() - began
    taps = page.evaluate("window.taps")
    whole_s = taps * POINT_S + len(VISIT) * THINK_S + machine_s
    print(f"{taps} taps; {whole_s:.0f} s, {machine_s:.1f} s of them the phone's")
    assert taps == 1 + sum(len(one) for one in VISIT.values())
    assert taps < MOST_TAPS
    assert whole_s < MOST_S
    kept = page.get_by_role("list", name="Kept in this visit")
    expect(kept.get_by_role("listitem")).to_have_count(len(VISIT))
    for words in SAID_BACK:
        expect(kept).to_contain_text(words)
    expect(page.get_by_role("list", name="Not read in this visit")).to_contain_text("count")
    assert problems(page) == {}


def test_light_is_asked_once_and_can_be_changed(launch: Launch) -> None:
    """The pupil's light stands as it was said at the vault, and one tap leads back to it."""
    page = launch("camp").sign_in("ambler", "Saltpan camp")
    open_person(page)
    page.goto(page.url.replace("#/person/", "#/visit/") + "/R/after_vault")
    give(page, (choice("Dark (scotopic)"), device("scanner 2")))
    keep_number(page, "500", "Keep vault")
    expect(page.get_by_role("heading", name="Pressure after surgery").first).to_be_visible()
    tap(page, "Leave it out")
    expect(page.get_by_role("heading", name="Pupil after surgery").first).to_be_visible()
    expect(page.locator(".read-back")).to_contain_text("dark (scotopic)")
    assert problems(page) == {}
    tap(page, "Light")
    tap(page, "Dim (mesopic)")
    keep_number(page, "6.00", "Keep pupil after surgery")
    expect(page.get_by_role("status").filter(has_text="Kept")).to_contain_text("dim")
