"""An order from its placing to the box: two eyes ordered at once, one confirmed otherwise."""

import csv
import io
import re

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.phone import Launch
from tests.journey import deciding
from tests.journey.desk import Desk
from webapp.demo_people import PASSPHRASE
from webapp.desk import moments
from webapp.flow import clock

pytestmark = pytest.mark.browser

# Two people of the demo whose eyes are approved.
FIRST, SECOND = ("Maren Tolley", "right eye"), ("Ines Calder", "left eye")
CONFIRMED_ON = clock.today()


def row_of(page: Page, whose: tuple[str, str]) -> Locator:
    """Return the line of one eye in a list of orders."""
    name, eye = whose
    word = eye.capitalize()
    return page.get_by_role("row").filter(has_text=name).filter(has_text=word)


def is_cut(page: Page) -> bool:
    """Say whether a table has to be pushed sideways on a phone's width."""
    page.set_viewport_size({"width": 360, "height": 740})
    wide = page.evaluate(
        "() => [...document.querySelectorAll('.scroller')].some("
        "(one) => one.scrollWidth > one.clientWidth)"
    )
    page.set_viewport_size({"width": 1280, "height": 800})
    return bool(wide)


def order_both(desk: Desk, page: Page) -> None:
    """Tick two approved eyes and sign once; each has its own answer."""
    page.goto(f"{desk.address}/desk/orders/")
    assert not is_cut(page)
    for whose in (FIRST, SECOND):
        box = row_of(page, whose).get_by_role("checkbox")
        expect(box).not_to_be_checked()
        box.check()
    page.get_by_label("Your passphrase, for these orders").fill(PASSPHRASE)
    page.get_by_role("button", name="Place the ticked orders").click()
    answers = page.get_by_role("status")
    for name, eye in (FIRST, SECOND):
        expect(answers).to_contain_text(f"{name}, {eye}: ordered.")


def save_table(desk: Desk, page: Page) -> list[dict[str, str]]:
    """Tick both orders, save them as a table, and return its lines."""
    for whose in (FIRST, SECOND):
        row_of(page, whose).get_by_role("checkbox").check()
    with page.expect_download() as started:
        page.get_by_role("button", name="Save the ticked as a table (CSV)").click()
    text = started.value.path().read_text(encoding="utf-8")
    return list(csv.DictReader(io.StringIO(text, newline="")))


def type_confirmation(page: Page, line: dict[str, str], **changed: str) -> None:
    """Type a confirmation from a line of the table, as from the supplier's paper."""
    page.get_by_role("link", name=re.compile("Type (the supplier|another)")).click()
    said = {**line, **changed}
    expect(page.get_by_label("Sphere, D")).to_have_value("")
    eye = "Right eye" if said["OD or OS"] == "OD" else "Left eye"
    page.get_by_role("radio", name=eye).check()
    page.get_by_label("Model").fill(said["Model"])
    page.get_by_label("Sphere, D").fill(said["Sphere, D"])
    cylinder = said["Cylinder, D"]
    page.get_by_label("Cylinder, D").fill(cylinder)
    page.get_by_label("Axis, °").fill(said["Axis, °"])
    page.get_by_label("Length, mm").fill(said["Overall length, mm"])
    page.get_by_label("Supplier’s reference").fill("R-" + said["Lens order"])
    page.get_by_label("Day of the confirmation").fill(CONFIRMED_ON)
    page.get_by_label("Expected at the base").fill(CONFIRMED_ON)
    if page.get_by_label("The supplier sent another confirmation").count():
        page.get_by_label("The supplier sent another confirmation").check()
    page.get_by_label("Your passphrase, for this confirmation").fill(PASSPHRASE)
    page.get_by_role("button", name="Compare and record").click()
    expect(page.get_by_role("heading", name="At the supplier")).to_be_visible()


def test_ordered_together_confirmed_apart(launch: Launch, desk: Desk) -> None:
    """A difference stops one order until the supplier corrects it; the phone says how far it is."""
    page = desk.sign_in()
    order_both(desk, page)
    first, second = save_table(desk, page)
    assert {first["Name"], second["Name"]} == {FIRST[0], SECOND[0]}
    line = next(one for one in (first, second) if one["Name"] == FIRST[0])

    row_of(page, FIRST).get_by_role("link", name=line["Lens order"]).click()
    other_mm = "13.70" if line["Overall length, mm"] != "13.70" else "13.20"
    type_confirmation(page, line, **{"Overall length, mm": other_mm})
    expect(page.get_by_role("alert")).to_contain_text("The supplier confirmed something else")
    length = page.get_by_role("row").filter(has_text="Length")
    expect(length).to_contain_text(line["Overall length, mm"])
    expect(length).to_contain_text(other_mm)
    expect(length).to_contain_text("differs")
    expect(page.get_by_role("button", name="The lens is here")).to_have_count(0)

    type_confirmation(page, line)
    expect(page.get_by_text("differs", exact=True)).to_have_count(0)

    phone = launch("surgeon").sign_in("verrill")
    deciding.open_from_queue(phone, FIRST[0], "Right eye")
    expect(phone.get_by_text("Order confirmed").first).to_be_visible()
    expect(phone.get_by_text("confirmed by the supplier").first).to_be_visible()

    page.goto(f"{desk.address}/desk/orders/")
    row_of(page, FIRST).get_by_role("link", name=line["Lens order"]).click()
    page.locator("summary", has_text="Arrived").click()
    page.get_by_label("Day of arrival").fill(CONFIRMED_ON)
    page.get_by_role("button", name="The lens is here").click()
    expect(page.get_by_text(f"arrived {moments.day(CONFIRMED_ON)}").first).to_be_visible()
    page.goto(f"{desk.address}/desk/?late=1")
    expect(page.get_by_text("No order is late")).to_be_visible()
