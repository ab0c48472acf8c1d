"""In theatre: the code of a printed sheet, a box that is put aside, a wrong passphrase, drawings.

The paper's code is taken from the printed page itself. Coordinates of the drawings were worked out
here, apart from the core, from the axis on a sketch of the eye turned to where the surgeon sits.
"""

import cmath
import math
import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.phone import Launch
from tests.journey import boxes
from tests.journey import in_theatre as theatre
from tests.journey.deciding import exchange
from tests.journey.desk import Desk
from tests.journey.page_checks import problems
from tests.journey.paper import code_on
from tests.journey.pictures import CODES, picture_of
from webapp.demo_people import PASSPHRASE

pytestmark = pytest.mark.browser

OTHER = CODES["right"]["read"].replace("SER9", "SER1")
# A left eye from its side: the temple, which is at 0 facing the patient, lies at the bottom, 270.
TURN_OF_A_LEFT_EYE_FROM_ITS_SIDE = 270
LENS_ENDS, RIM_INSIDE, RIM_OUTSIDE = 600, 900, 1100


def printed_code(desk: Desk) -> bytes:
    """Print the list of today and return a picture of the code on the last of its sheets, hers."""
    desk.page.goto(f"{desk.address}/desk/theatre")
    link = desk.page.get_by_role("link", name="Print list and sheets").get_attribute("href")
    answer = desk.context.request.get(f"{desk.address}{link}")
    assert answer.ok, answer.status
    return picture_of(code_on(answer.body(), -1))


def hold_sheet(page: Page, drawn: bytes) -> None:
    """Fetch what the base has, open the list and give the tablet a picture of a sheet's code."""
    theatre_list = page.get_by_role("link", name="Theatre", exact=True)
    theatre_list.click()
    exchange(page)
    theatre_list.click()
    file = {"name": "sheet.png", "mimeType": "image/png", "buffer": drawn}
    page.get_by_label("Or a picture of its code").set_input_files([file])  # type: ignore[list-item]


def move_to(desk: Desk, place: str) -> None:
    """Move the eye on the list to another place."""
    page = desk.page
    page.goto(f"{desk.address}/desk/theatre")
    page.get_by_role("link", name=re.compile(f"^Move or take off.*{theatre.WREN.person}")).click()
    page.get_by_label("Day of the list").fill(page.evaluate("new Date().toISOString().slice(0,10)"))
    page.get_by_label("Place, if it matters").fill(place)
    page.get_by_label("Why it is moved").fill("The other table is not ready.")
    page.get_by_label("Your passphrase, for moving it").fill(PASSPHRASE)
    page.get_by_role("button", name="Move the left eye").click()
    expect(page.get_by_text(place).first).to_be_visible()


def cancel_order(desk: Desk) -> None:
    """Cancel the order, whose lens has come already."""
    page = desk.page
    desk.open_case(theatre.WREN.person, theatre.WREN.eye)
    page.get_by_role("link", name=f"Open the order of the {theatre.WREN.eye}").click()
    page.get_by_text("Cancel this order").click()
    page.get_by_label("Why it is cancelled").fill("The person has moved away.")
    page.get_by_label("What the supplier answered").fill("Taken back.")
    page.get_by_label("Your passphrase, for this cancellation").fill(PASSPHRASE)
    page.get_by_role("button", name="Cancel the order").click()
    expect(page.get_by_text("This order is cancelled")).to_be_visible()


def test_a_printed_sheet_current_replaced_and_cancelled(desk: Desk, launch: Launch) -> None:
    """H45: the same paper is read three times, and says each time what the records say then."""
    desk.sign_in()
    theatre.release_box(desk)
    theatre.put_on_list(desk)
    paper = printed_code(desk)
    _tablet, page = theatre.tablet_of_two(launch)
    hold_sheet(page, paper)
    expect(page.get_by_text("Left eye. The paper says what the records say.")).to_be_visible()
    expect(page.get_by_role("link", name="Open the check of this eye")).to_be_visible()
    assert problems(page) == {}
    move_to(desk, "Table 2")
    hold_sheet(page, paper)
    expect(page.get_by_role("alert")).to_contain_text("The list was changed since this was printed")
    expect(page.get_by_role("link", name="Open the check of this eye")).to_have_count(0)
    hold_sheet(page, printed_code(desk))
    expect(page.get_by_text("Left eye. The paper says what the records say.")).to_be_visible()
    cancel_order(desk)
    hold_sheet(page, paper)
    expect(page.get_by_role("alert")).to_contain_text("of an order that does not stand any more")
    assert problems(page) == {}


def type_code(page: Page, code: str) -> None:
    """Give the code as a reader at the cable does."""
    fold = page.locator("details").filter(has_text="No camera")
    fold.evaluate("(element) => { element.open = true; }")
    boxes.by_cable(page.get_by_label("By a reader at the cable"), code)


def numbers(page: Page, path: str) -> list[list[complex]]:
    """Return the two ends of each drawn line, x to the right and y downwards."""
    drawn = [one.get_attribute("d") or "" for one in page.locator(path).all()]
    found = [[float(one) for one in re.findall(r"-?[0-9.]+", each)] for each in drawn]
    return [[complex(a, b), complex(c, d)] for a, b, c, d in found]


def at(position_deg: int, radius: float) -> complex:
    """Return where a position facing the patient is drawn for who sits at the side."""
    turned = math.radians(position_deg + TURN_OF_A_LEFT_EYE_FROM_ITS_SIDE)
    return (radius * cmath.exp(1j * turned)).conjugate()


def is_near(found: complex, expected: complex) -> bool:
    """Say whether two points of a drawing are the same but for rounding."""
    return abs(found - expected) < 2


def see_drawing(page: Page, axis_deg: int) -> None:
    """From the side, with an incision at 90: lens, incision and the nearest word."""
    page.get_by_label("At the side").check()
    page.get_by_label("Incision meridian", exact=False).fill("90")
    page.keyboard.press("Tab")
    expect(page.locator(".axis-dial .cut")).to_have_count(2)
    ((one, other),) = numbers(page, ".axis-dial .lens-axis")
    ends = [at(axis_deg, LENS_ENDS), at(axis_deg + 180, LENS_ENDS)]
    assert is_near(one, ends[0]) and is_near(other, ends[1])
    # At 90 lies the brow: on the right of who sits at the temple of a left eye, level with them.
    first, second = numbers(page, ".axis-dial .cut")
    assert is_near(first[0], complex(RIM_INSIDE, 0)) and is_near(first[1], complex(RIM_OUTSIDE, 0))
    assert is_near(second[1], complex(-RIM_OUTSIDE, 0))
    words = page.locator(".axis-dial .word").all()
    nearest = max(words, key=lambda word: float(word.get_attribute("y") or 0))
    assert nearest.text_content() == "temple"
    expect(page.get_by_text("Brow end straight at the brow")).to_be_visible()


def see_stop_side_by_side(page: Page) -> None:
    """The released serial number and the one of this box are in one row; there is no way on."""
    theatre.stops(page, "Serial number")
    row = page.get_by_role("row").filter(has_text="Serial number")
    expect(row.get_by_role("cell", name="SER9", exact=True)).to_be_visible()
    expect(row.get_by_role("cell").filter(has_text="SER1")).to_contain_text("Another one was")
    left, right = (
        row.get_by_role("cell").filter(has_text=word).bounding_box() for word in ("SER9", "SER1")
    )
    assert left and right and left["x"] + left["width"] <= right["x"] + 1
    assert abs(left["y"] - right["y"]) < 1


def give_wrong_passphrases(page: Page) -> None:
    """Four wrong ones: each is said, what was ticked stays; then even the right one has to wait."""
    page.get_by_label("I have seen the marks of the lens").check()
    page.get_by_label("The axis was said aloud").check()
    field = page.get_by_label(f"Passphrase of {theatre.SECOND}")
    for _ in range(4):
        # It opens once the first check was read; before that nothing is sent.
        expect(field).to_be_focused()
        field.fill("not the passphrase")
        page.keyboard.press("Enter")
        expect(page.get_by_text("That is not the passphrase.")).to_be_visible()
        expect(field).to_have_value("")
        expect(page.get_by_label("I have seen the marks of the lens")).to_be_checked()
        expect(page.get_by_label("The axis was said aloud")).to_be_checked()
    field.fill(PASSPHRASE)
    page.keyboard.press("Enter")
    expect(page.get_by_text(re.compile("^Wait [0-9]+ seconds"))).to_be_visible()
    expect(page.get_by_text("Checked by two people")).to_have_count(0)


def test_another_box_a_wrong_passphrase_and_the_drawing(desk: Desk, launch: Launch) -> None:
    """The wrong box is put aside and waits at the desk; a wrong passphrase loses nothing."""
    desk.sign_in()
    theatre.release_box(desk)
    theatre.put_on_list(desk)
    _tablet, page = theatre.tablet_of_two(launch)
    theatre.open_eye(page)
    theatre.say_who(page)
    page.get_by_role("button", name="To the box").click()
    shown = page.get_by_text(re.compile("^Lens axis [0-9]+")).first.text_content() or ""
    axis_deg = int(re.findall("[0-9]+", shown)[0])
    see_drawing(page, axis_deg)
    type_code(page, OTHER)
    see_stop_side_by_side(page)
    page.get_by_role("button", name="Put this box aside").click()
    theatre.scan(page, "right")
    expect(page.get_by_role("cell", name="SER9")).to_have_count(2)
    page.get_by_role("button", name="The box says the same").click()
    expect(page.get_by_text("the first check is kept")).to_be_visible()
    give_wrong_passphrases(page)
    page.wait_for_timeout(6_000)
    page.get_by_label(f"Passphrase of {theatre.SECOND}").fill(PASSPHRASE)
    page.keyboard.press("Enter")
    expect(page.get_by_text("Checked by two people")).to_be_visible()
    page.get_by_role("link", name="List of the day").click()
    exchange(page)
    answer_at_desk(desk)


def answer_at_desk(desk: Desk) -> None:
    """At the base the box is on the list until somebody says what became of it."""
    page = desk.page
    page.goto(f"{desk.address}/desk/theatre")
    boxes = page.get_by_role("region", name="Boxes put aside")
    expect(boxes).to_contain_text("Serial number SER1")
    assert problems(page) == {}
    boxes.get_by_role("link", name=re.compile("^Say what became of it")).click()
    assert problems(page) == {}
    page.get_by_label("Back in its place").check()
    page.get_by_label("Your passphrase, for this answer").fill(PASSPHRASE)
    page.get_by_role("button", name="Record what became of it").click()
    expect(page.get_by_role("heading", name="On the list")).to_be_visible()
    expect(page.get_by_text("Boxes put aside")).to_have_count(0)
