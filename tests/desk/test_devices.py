"""The desk's pages of devices: comparing words, revoking, and who sees which form."""

import re

import pytest

from tests.desk.conftest import Desk
from tests.hospital import Hospital, Phone
from webapp.demo_people import PASSPHRASE
from webapp.flow import devices
from webapp.records.fingerprint import words_of
from webapp.store.devices import DeviceRow


@pytest.fixture
def phone(hospital: Hospital) -> Phone:
    """Return a phone of R. Ambler whose words nobody has compared."""
    new = hospital.phone()
    DeviceRow.update(confirmed_at=None).where(DeviceRow.kid == new.kid).execute()
    return new


@pytest.fixture
def rook(hospital: Hospital) -> Desk:
    """Return the administrator's browser."""
    return Desk(hospital.client("rook"))


def page_of(phone: Phone) -> str:
    """Return the address of a phone's page."""
    return f"/desk/devices/{phone.kid}"


def send(desk: Desk, phone: Phone, what: str, **fields: str) -> tuple[int, str]:
    """Open the phone's page, send a form of it, return status and text."""
    desk.get(page_of(phone))
    answer = desk.post(f"{page_of(phone)}/{what}", **{"passphrase": PASSPHRASE, **fields})
    return answer.status_code, answer.text


REVOKE = {"r-why": "lost", "r-hands": "nobody", "r-since": "", "r-passphrase": PASSPHRASE}


class TestWords:
    """Confirming a phone."""

    def test_the_page_shows_the_words_of_the_phone(self, rook: Desk, phone: Phone) -> None:
        """All eight, in order."""
        page = rook.get(page_of(phone)).text
        shown = page[page.index('<ol class="key-words">') : page.index("</ol>")]
        assert re.findall(r"<li>([a-z]+)</li>", shown) == words_of(phone.kid)

    def test_confirmed_once_the_words_were_compared(self, rook: Desk, phone: Phone) -> None:
        """The list says then that it is waited for no more."""
        assert "Waits for its words" in rook.get("/desk/devices").text
        assert send(rook, phone, "confirm", same="y")[0] == 302
        assert devices.state_of(phone.kid).state == "confirmed"
        assert "Waits for its words" not in rook.get("/desk/devices").text
        assert "Words compared by A. Rook" in rook.get(page_of(phone)).text

    def test_not_without_saying_so(self, rook: Desk, phone: Phone) -> None:
        """The tick is what an administrator answers for."""
        status, page = send(rook, phone, "confirm")
        assert status == 422 and "Compare the words first" in page
        assert devices.state_of(phone.kid).state == "waiting"

    def test_not_with_a_wrong_passphrase(self, rook: Desk, phone: Phone) -> None:
        """Said at its field."""
        status, page = send(rook, phone, "confirm", same="y", passphrase="wrong")
        assert status == 422 and 'id="passphrase-error"' in page

    def test_the_desk_sees_the_words_and_no_form(self, desk: Desk, phone: Phone) -> None:
        """And is refused."""
        page = desk.get(page_of(phone)).text
        assert "An administrator who sees R. Ambler" in page
        assert f"{page_of(phone)}/confirm" not in page
        assert send(desk, phone, "confirm", same="y")[0] == 403


class TestRevoke:
    """Ending a key."""

    def test_by_the_desk(self, desk: Desk, phone: Phone) -> None:
        """The list says since when."""
        assert send(desk, phone, "revoke", **REVOKE)[0] == 302
        assert "Revoked" in desk.get("/desk/devices").text
        assert f"{page_of(phone)}/revoke" not in desk.get(page_of(phone)).text

    def test_with_a_time_of_doubt(self, rook: Desk, phone: Phone) -> None:
        """In UTC, as the page says."""
        hands = {"r-hands": "since", "r-since": "2026-11-24T18:30"}
        assert send(rook, phone, "revoke", **{**REVOKE, **hands})[0] == 302
        device = DeviceRow.get(DeviceRow.kid == phone.kid)
        assert device.suspected_since == "2026-11-24T18:30:00Z"
        assert "24 Nov 2026, 18:30 UTC" in rook.get(page_of(phone)).text

    @pytest.mark.parametrize(
        ("fields", "said"),
        [
            ({"r-why": ""}, "Choose why"),
            ({"r-hands": ""}, "Choose one: approvals hang on it"),
            ({"r-hands": "since"}, "Give the earliest time"),
            ({"r-since": "2026-11-24T18:30"}, "which is right?"),
            ({"r-passphrase": "wrong"}, "The passphrase is not right"),
        ],
    )
    def test_nothing_is_assumed(
        self, rook: Desk, phone: Phone, fields: dict[str, str], said: str
    ) -> None:
        """Each question is answered by a person, and the key counts until then."""
        status, page = send(rook, phone, "revoke", **{**REVOKE, **fields})
        assert status == 422 and said in page
        assert devices.state_of(phone.kid).state == "waiting"


def test_another_sites_phone_is_not_there(hospital: Hospital) -> None:
    """The surgeon of other camps sees no such device."""
    quill = hospital.phone("quill", "upper-glen")
    assert Desk(hospital.client("ambler")).get(page_of(quill)).status_code == 404


class TestReplaced:
    """Keys whose closing a restored base may have lost."""

    HEADING = "Keys that a newer one may have replaced"

    def test_an_old_key_that_is_silent_since_the_newer_one(
        self, hospital: Hospital, rook: Desk
    ) -> None:
        """Listed with a way to its page, where it is closed; then it is listed no more."""
        old, _new = hospital.phone(), hospital.phone()
        DeviceRow.update(enrolled_at="2026-01-02T08:00:00.000Z").where(
            DeviceRow.kid == old.kid
        ).execute()
        page = rook.get("/desk/devices").text
        assert self.HEADING in page
        section = page[page.index(self.HEADING) :]
        assert page_of(old) in section and page_of(_new) not in section
        assert send(rook, old, "close", **{"c-gone": "y", "c-passphrase": PASSPHRASE})[0] == 302
        assert self.HEADING not in rook.get("/desk/devices").text

    @pytest.mark.parametrize(
        "changed",
        [
            {"last_heard": "2099-01-01T08:00:00.000Z"},
            {"label": "another phone"},
            {"revoked_at": "2026-01-03T08:00:00.000Z"},
        ],
    )
    def test_a_key_in_use_of_another_phone_or_ended(
        self, hospital: Hospital, rook: Desk, changed: dict[str, str]
    ) -> None:
        """Each of two phones of one person keeps its key."""
        old, _new = hospital.phone(), hospital.phone()
        DeviceRow.update(enrolled_at="2026-01-02T08:00:00.000Z", **changed).where(
            DeviceRow.kid == old.kid
        ).execute()
        assert self.HEADING not in rook.get("/desk/devices").text
