"""A centre's own vault model: adopted at the desk, used and named on the phone, withdrawn again."""

import json
import os
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import FilePayload, Page, expect

from tests.browser.phone import Launch, unlock
from tests.journey import deciding
from tests.journey.desk import Desk
from tests.journey.page_checks import problems
from tests.records.vectors import read
from webapp.demo_people import PASSPHRASE

pytestmark = pytest.mark.browser

NAME, EYE = "Elke Strand", "Right eye"
SIZES = ((360, 740), (1280, 800))
ADOPTED: dict[str, Any] = read("kinds")["payloads"]["vault_model.adopted"]["body"]
# An invented centre of 34 eyes: 500 um at an excess of 0.5 mm, 550 um more for each mm.
MODEL: dict[str, Any] = {
    **ADOPTED, "title": "Harbour calliper", "diameter_kind": "white_to_white",
    "device": "calliper 2", "features": ["one", "excess_mm"], "centre_lens_rise_um": None,
    "mean_um_e3": [500000, 550000], "V_e9": [76972153, 0, 708693713], "n_eyes": 34,
    "fitted_on": "Invented eyes of Harbour",
}  # fmt: skip
WHY = "The calliper was exchanged and never calibrated."


def pictures(page: Page, name: str) -> None:
    """Keep pictures where somebody wants to look at the pages, and nothing otherwise."""
    if folder := os.environ.get("LAMPSIDE_PICTURES"):
        page.screenshot(path=Path(folder) / f"{name}.png", full_page=True)


def looked_at(page: Page, name: str) -> None:
    """Check a page in both sizes: axe, targets, no sideways scrolling."""
    before = page.viewport_size
    for width, height in SIZES:
        page.set_viewport_size({"width": width, "height": height})
        pictures(page, f"{name}_{width}")
        assert problems(page) == {}
    assert before is not None
    page.set_viewport_size(before)


def adopt(desk: Desk) -> None:
    """Read the model from a file, look at it, adopt it with the passphrase."""
    page = desk.page
    page.goto(f"{desk.address}/desk/vault-models")
    data = json.dumps(MODEL).encode()
    file: FilePayload = {"name": "model.json", "mimeType": "application/json", "buffer": data}
    page.get_by_label("Vault model as JSON").set_input_files(file)
    page.get_by_role("button", name="Read the model").click()
    expect(page.get_by_text("white-to-white by calliper 2, fitted on 34 own eyes")).to_be_visible()
    looked_at(page, "desk_model_read")
    page.get_by_label("passphrase").first.fill(PASSPHRASE)
    page.get_by_role("button", name="Adopt this model").click()
    expect(page.get_by_text("Harbour calliper, in force")).to_be_visible()
    looked_at(page, "desk_model_adopted")


def withdraw(desk: Desk) -> None:
    """Withdraw it, with a reason and the passphrase."""
    page = desk.page
    page.goto(f"{desk.address}/desk/vault-models")
    section = page.get_by_role("region", name="Withdraw a model")
    section.get_by_role("textbox").first.fill(WHY)
    section.get_by_label("passphrase").fill(PASSPHRASE)
    section.get_by_role("button", name="Withdraw this model").click()
    expect(page.get_by_text(f"withdrawn by Dr I. Marsh: {WHY}")).to_be_visible()
    looked_at(page, "desk_model_withdrawn")


def send(page: Page) -> None:
    """Leave the case and exchange with the base."""
    page.get_by_role("link", name="Back to").first.click()
    deciding.exchange(page)


def test_adopted_used_withdrawn(launch: Launch, desk: Desk) -> None:
    """The plan names model, diameter, device, eyes and surgeon; a withdrawal takes it all back."""
    page = launch("surgeon").sign_in("verrill")
    deciding.open_from_queue(page, NAME, EYE)
    expect(page.get_by_text("Model: Default prior for white-to-white")).to_be_visible()
    desk.sign_in("marsh")
    adopt(desk)

    send(page)
    deciding.open_from_queue(page, NAME, EYE)
    said = page.get_by_text("Model: Harbour calliper")
    for words in ("white-to-white", "calliper 2", "34 own eyes", "adopted by Dr I. Marsh"):
        expect(said).to_contain_text(words)
    said.scroll_into_view_if_needed()
    looked_at(page, "case_adopted")
    deciding.approve(page, EYE)
    case = page.url
    page.goto(case.replace("#/case/", "#/plan/"))
    expect(page.get_by_text("Likely lens, not an order")).to_be_visible()
    expect(said).to_contain_text("34 own eyes; white-to-white by calliper 2")
    expect(said).to_contain_text("adopted by Dr I. Marsh")
    looked_at(page, "plan_adopted")
    page.goto(case)
    send(page)
    withdraw(desk)

    deciding.exchange(page)
    deciding.open_from_queue(page, NAME, EYE)
    fallen = page.get_by_role("region", name="Your approval no longer stands")
    expect(fallen).to_contain_text(f"The vault model Harbour calliper was withdrawn: {WHY}")
    expect(page.get_by_text("Model: Default prior for white-to-white")).to_contain_text(WHY)
    looked_at(page, "case_withdrawn")
    page.evaluate("localStorage.setItem('lampside.theme', 'lamp')")
    page.reload()
    unlock(page)
    expect(page.locator("html")).to_have_attribute("data-theme", "lamp")
    expect(fallen).to_be_visible()
    looked_at(page, "case_withdrawn_lamp")
