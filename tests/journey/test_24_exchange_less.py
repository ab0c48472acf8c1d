"""A lens whose vault nobody measured: nothing is decided before anybody looked, then it comes out.

The eye is the demo's own, invented: implanted, and not seen since.
"""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.phone import Launch
from tests.journey.measuring import device, give, number
from tests.journey.test_19_exchange import be_sure, send_and_fetch
from tests.journey.test_22_asked_and_removed import decide, go, looks

pytestmark = pytest.mark.browser

ID = "0193a5c0-0014-7000-8000-000000000014"
PERSON = "Tamsin Dray"


def read_pressure(page: Page) -> None:
    """Read the one thing that could be read."""
    go(page, f"#/person/{ID}")
    rows = page.get_by_role("list", name="After surgery, right eye")
    rows.get_by_role("link", name=re.compile("^Pressure")).click()
    give(page, (device("tonometer 1"), number("16")))
    expect(page.get_by_role("status").filter(has_text="Kept")).to_contain_text("16")


def test_taken_out_without_a_vault(launch: Launch) -> None:
    """What is missing is said and answered for; no other lens is offered."""
    page = launch("surgeon").sign_in("verrill")
    expect(page.get_by_text(PERSON).first).to_be_attached()
    go(page, f"#/exchange/{ID}/R")
    expect(page.get_by_text("Nothing can be decided about this lens yet.")).to_be_visible()
    expect(page.get_by_text("Any reading with this lens in the eye")).to_be_visible()
    expect(page.get_by_role("radio")).to_have_count(0)

    camp = launch("camp").sign_in("ambler", "Saltpan camp")
    expect(camp.get_by_text(PERSON).first).to_be_attached()
    read_pressure(camp)
    send_and_fetch(camp)
    send_and_fetch(page)

    go(page, f"#/exchange/{ID}/R")
    expect(page.get_by_text("Another lens cannot be weighed; missing for that:")).to_be_visible()
    expect(page.get_by_role("listitem").filter(has_text="Vault in dim light")).to_be_visible()
    expect(page.get_by_role("row").filter(has_text="16 mmHg")).to_be_visible()
    be_sure(page)
    offered = page.get_by_role("group", name="What is to be done").get_by_role("radio")
    expect(offered).to_have_count(2)
    assert looks(page, "Your decision") == {}
    decide(page, "Take it out")
    expect(page.get_by_role("region", name="Decided before")).to_contain_text("Take it out")
    go(page, f"#/person/{ID}")
    expect(page.get_by_text("Take the lens out.")).to_be_visible()
