"""How an optometrist takes readings: one question at a time, on the keypad or on real keys."""

import re
from typing import NamedTuple

from playwright.sync_api import Page, expect


class Answer(NamedTuple):
    """One answer: a number typed, a choice tapped, or the name of a device."""

    how: str
    text: str


class Reading(NamedTuple):
    """A quantity, as the person's page calls it, with its answers in the order asked."""

    quantity: str
    answers: tuple[Answer, ...]


def number(text: str) -> Answer:
    """Return a number as it is typed, with its sign where it has one."""
    return Answer("number", text)


def choice(text: str) -> Answer:
    """Return one of the answers offered."""
    return Answer("choice", text)


def unusual(text: str) -> Answer:
    """Return a number that the keypad asks about, and that is right."""
    return Answer("unusual", text)


def device(text: str) -> Answer:
    """Return what the camp calls an instrument."""
    return Answer("device", text)


def ask_the_person(page: Page) -> None:
    """Put the four questions: stable for a year, nothing else."""
    page.get_by_role("link", name="Ask the questions").click()
    answer(page, "Same glasses strength for 12 months?", "Yes")
    answer(page, "Wears contact lenses?", "No")
    answer(page, "Pregnant or nursing?", "No")
    answer(page, "Any eye disease or eye operation?", "No")
    page.get_by_role("button", name="Keep the answers").click()
    page.wait_for_url(re.compile(r"#/person/[^/]+$"))


def answer(page: Page, question: str, words: str) -> None:
    """Answer one question of a form."""
    page.get_by_role("group", name=question).get_by_label(words, exact=True).check()


def open_quantity(page: Page, eye: str, quantity: str) -> None:
    """Go from the person's page to one quantity of one eye, such as "Right eye"."""
    page.get_by_role("link", name=re.compile(f"^{eye}, O[DS], {quantity}:", re.I)).click()
    expect(page.get_by_role("heading", name=quantity).first).to_be_visible()


def give(page: Page, answers: tuple[Answer, ...]) -> None:
    """Answer every question of a quantity by hardware keys; the last Enter keeps the reading."""
    for one in answers:
        if one.how == "choice":
            chosen = page.get_by_role("button", name=one.text, exact=True)
            expect(chosen).to_be_visible()
            # It may be what keeps the reading, which waits for the lens in the eye.
            expect(page.get_by_text("Looking for the surgery")).to_have_count(0)
            chosen.click()
        elif one.how == "device":
            page.get_by_label("Device, as the camp names it").fill(one.text)
            page.keyboard.press("Enter")
        elif one.how == "unusual":
            press_keys(page, one.text)
            page.get_by_role("button", name=f"It is right, keep {one.text}").click()
        else:
            press_keys(page, one.text)
            # Until the calculation has said which lens is in the eye, nothing is kept.
            expect(page.get_by_text("Looking for the surgery")).to_have_count(0)
            page.keyboard.press("Enter")


def press_keys(page: Page, text: str) -> None:
    """Type a number on a keyboard; the question must be on the screen."""
    expect(page.get_by_role("group", name="Keypad")).to_be_visible()
    for key in text:
        page.keyboard.press(key)


def tap_keys(page: Page, text: str) -> None:
    """Tap a number on the app's own keypad, whose point is printed."""
    keypad = page.get_by_role("group", name="Keypad")
    for key in text.replace(".", ""):
        keypad.get_by_role("button", name=key, exact=True).tap()


def take(page: Page, eye: str, reading: Reading) -> None:
    """Take one reading and come back to the person's page."""
    open_quantity(page, eye, reading.quantity)
    give(page, reading.answers)
    expect(page.get_by_role("status").filter(has_text="Kept")).to_contain_text(eye)
    back_to_person(page)


def take_all(page: Page, eye: str, readings: tuple[Reading, ...]) -> None:
    """Take several readings of one eye."""
    for reading in readings:
        take(page, eye, reading)


def take_third_width(page: Page, name: str, eye: str, reading: Reading) -> None:
    """From the list of people take a third white-to-white, blind, and come back to the person."""
    page.get_by_role("link", name=name).click()
    open_quantity(page, eye, "White-to-white")
    page.get_by_role("button", name="Take reading 3, blind").click()
    give(page, reading.answers)
    millimetres = reading.answers[0].text
    expect(page.get_by_role("status").filter(has_text="Kept")).to_contain_text(millimetres)
    back_to_person(page)


def back_to_person(page: Page) -> None:
    """Go back to the person's page."""
    page.get_by_role("link", name="Back to").last.click()
    page.wait_for_url(re.compile(r"#/person/[^/]+$"))
