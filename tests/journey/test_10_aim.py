"""A surgeon aims at mild short sight: another lens, bound by the approval, printed on the order."""

import pytest
from playwright.sync_api import expect

from tests.browser.phone import Launch
from tests.journey import deciding
from tests.journey.desk import Desk

pytestmark = pytest.mark.browser


def test_an_aim_changes_the_lens_and_reaches_the_order(launch: Launch, desk: Desk) -> None:
    """Half a dioptre of short sight left on purpose asks for a weaker lens by at least that."""
    name, eye = "Elke Strand", "Right eye"
    page = launch("surgeon").sign_in("verrill")
    deciding.open_from_queue(page, name, eye)
    expect(page.get_by_text("Aim: plano.")).to_be_visible()
    deciding.see_cautions(page)
    deciding.read_to_end(page)
    before = deciding.open_approval(page, eye)
    page.get_by_role("button", name="Go back").click()

    page.get_by_role("button", name="Another aim").click()
    page.get_by_label("Refraction to leave, D").select_option("-50")
    page.get_by_role("button", name="Plan for this aim").click()
    expect(page.get_by_text("Aim: −0.50 D sphere.")).to_be_visible()
    approved = deciding.approve(page, eye)
    # A dioptre of lens in front of the natural lens moves the refraction by less than a dioptre
    # (0.8 for an eye of these measures), so 0.50 D at the glasses is at least a step of the lens.
    weaker = int(str(approved.lens["sphere_cD"])) - int(str(before.lens["sphere_cD"]))
    assert 25 <= weaker <= 100
    page.get_by_role("link", name="Back to").first.click()
    deciding.exchange(page)

    desk.sign_in()
    desk.open_case(name, eye.lower())
    desk.place_order()
    expect(desk.page.get_by_text("This order stands")).to_be_visible()
    assert "−0.50" in desk.print_sheet()
