"""A hospital for the pages, a case ready to be ordered, and the typefaces of the sheet."""

import re
from copy import copy
from pathlib import Path

import pytest
from werkzeug.test import TestResponse

from tests.desk.fonts import sheet_fonts
from tests.hospital import Client, Hospital, Phone, hospital, prepared, quick_hash
from webapp.demo_people import PASSPHRASE

__all__ = ["hospital", "prepared", "quick_hash", "sheet_fonts"]

TOKEN = re.compile(r'name="csrf_token" type="hidden" value="([^"]+)"')


class Desk:
    """A browser at the desk that fills in forms as a person would, without any script."""

    def __init__(self, client: Client) -> None:
        self.client = client
        self.token = ""

    def get(self, address: str) -> TestResponse:
        """Open a page and keep its form token."""
        answer = self.client.get(address)
        found = TOKEN.search(answer.text) if "html" in answer.content_type else None
        self.token = found[1] if found else self.token
        return answer

    def post(self, address: str, **fields: str) -> TestResponse:
        """Send a form with the token of the page opened last."""
        return self.client.flask.post(address, data={"csrf_token": self.token, **fields})


class ReadyCase:
    """One person whose right eye was measured, sent and approved, and who takes part."""

    def __init__(self, hospital: Hospital) -> None:
        hospital.adopt_reference()
        self.camp: Phone = hospital.phone("ambler", "saltpan")
        self.surgeon: Phone = hospital.phone("verrill", "saltpan")
        self.approve_somebody()

    def approve_somebody(self, **changed: object) -> None:
        """Register, measure, send and approve one person; this case is then theirs."""
        self.person = self.camp.register(**changed)
        self.camp.measure(self.person, "R")
        self.request = self.camp.send_for_plan(self.person, "R")
        self.approval = self.surgeon.approve(self.person, "R", self.request)

    def another(self) -> "ReadyCase":
        """Return the same of one more person."""
        other = copy(self)
        # Both go on with the same phones, so that each chain stays one.
        # Nothing is ordered for two people who could be one.
        other.approve_somebody(name="Tove Brandal", birth_year=1988, phone=None)
        return other

    @property
    def page(self) -> str:
        """The address of the right eye."""
        return f"/desk/case/{self.person}/R"

    def order(self, desk: Desk, **changed: str) -> TestResponse:
        """Open the case and place its order."""
        desk.get(self.page)
        fields = {"approval": self.approval, "passphrase": PASSPHRASE, **changed}
        return desk.post(f"{self.page}/order", **fields)


@pytest.fixture
def case(hospital: Hospital) -> ReadyCase:
    """Return an eye ready to be ordered."""
    return ReadyCase(hospital)


@pytest.fixture
def desk(hospital: Hospital, sheet_fonts: Path) -> Desk:
    """Return L. Fenn's browser, signed in."""
    hospital.app.config["FONTS_DIR"] = sheet_fonts
    return Desk(hospital.client("fenn"))
