"""A phone lost its storage: its old key is closed with the records that had arrived."""

from html import unescape
from typing import NamedTuple

import pytest

from tests.desk.conftest import Desk
from tests.hospital import PASSPHRASE, Hospital, Phone, width_body
from webapp.flow import desk_record, devices, key_closing
from webapp.flow.actor import RoleAt
from webapp.flow.refusal import Refused
from webapp.store import journal

SAID = {"c-gone": "y", "c-passphrase": PASSPHRASE}
WIDTH = "reading.white_to_white"


class Cleared(NamedTuple):
    """R. Ambler's phone before and after its storage was cleared, and somebody it had sent."""

    old: Phone
    new: Phone
    person: str


@pytest.fixture
def cleared(hospital: Hospital) -> Cleared:
    """Return a phone whose old key had sent a registration and one reading."""
    old = hospital.phone()
    person = old.register()
    old.keep(WIDTH, person, "R", width_body())
    return Cleared(old, hospital.phone(), person)


def page_of(phone: Phone) -> str:
    """Return the address of a key's page."""
    return f"/desk/devices/{phone.kid}"


def close(desk: Desk, phone: Phone, **changed: str) -> tuple[int, str]:
    """Close a key from its page; return status and page."""
    desk.get(page_of(phone))
    answer = desk.post(f"{page_of(phone)}/close", **{**SAID, **changed})
    return answer.status_code, unescape(answer.text)


class TestItsPerson:
    """R. Ambler, at the desk's pages."""

    def test_sees_what_the_old_key_had_sent(self, hospital: Hospital, cleared: Cleared) -> None:
        """On the page of the new key, with the way to the old one."""
        page = unescape(Desk(hospital.client("ambler")).get(page_of(cleared.new)).text)
        assert "Other open keys of R. Ambler" in page and page_of(cleared.old) in page
        assert "had sent 2 records, last heard" in page

    def test_closes_it(self, hospital: Hospital, cleared: Cleared) -> None:
        """The record names the last place and the key after it; the loss is shown."""
        ambler, old = Desk(hospital.client("ambler")), cleared.old
        assert "Anything later is lost unless it was exported" in ambler.get(page_of(old)).text
        assert close(ambler, old)[0] == 302
        (entry,) = journal.entries_of_kind("all", "key.closed")
        said = desk_record.payload_of(entry)
        assert (said["author"], said["role"]) == ("u-ambler", "optometrist")
        body = {"key": old.kid, "last_seq": 2, "why": "cleared", "successor": cleared.new.kid}
        assert said["body"] == body
        assert devices.state_of(old.kid).state == "closed"
        assert devices.state_of(cleared.new.kid).state == "confirmed"
        assert "is lost unless it was exported" in ambler.get(page_of(old)).text
        assert "Other open keys" not in ambler.get(page_of(cleared.new)).text

    def test_signs_in_a_role_that_may(self, hospital: Hospital, cleared: Cleared) -> None:
        """Whoever also works in theatre closes a key as what they write records as."""
        ambler = hospital.actor("ambler")
        also = ambler._replace(roles=(RoleAt("theatre", "harbour"), *ambler.roles))
        key_closing.close(also, cleared.old.kid, PASSPHRASE)
        (entry,) = journal.entries_of_kind("all", "key.closed")
        assert desk_record.payload_of(entry)["role"] == "optometrist"

    def test_what_comes_later_is_kept_apart(self, hospital: Hospital, cleared: Cleared) -> None:
        """An export that turns up after all counts for nothing until somebody decides."""
        later = cleared.old.record(WIDTH, cleared.person, "R", width_body())
        key_closing.close(hospital.actor("ambler"), cleared.old.kid, PASSPHRASE)
        (receipt,) = cleared.old.push(later)
        assert receipt.result == "refused"
        assert receipt.reason is not None and receipt.reason.code == "key.closed"
        cleared.new.keep(WIDTH, cleared.person, "L", width_body())

    @pytest.mark.parametrize(
        ("fields", "said"),
        [
            ({"c-gone": ""}, "Say that the key is gone first"),
            ({"c-passphrase": ""}, "Type your passphrase"),
            ({"c-passphrase": "wrong"}, "The passphrase is not right"),
        ],
    )
    def test_nothing_is_assumed(
        self, hospital: Hospital, cleared: Cleared, fields: dict[str, str], said: str
    ) -> None:
        """The key counts until a person said so."""
        said_fields = {name: text for name, text in {**SAID, **fields}.items() if text}
        desk = Desk(hospital.client("ambler"))
        desk.get(page_of(cleared.old))
        answer = desk.post(f"{page_of(cleared.old)}/close", **said_fields)
        assert answer.status_code == 422 and said in unescape(answer.text)
        assert devices.state_of(cleared.old.kid).state == "confirmed"


class TestOthers:
    """Who else may, and who may not."""

    def test_an_administrator_may(self, hospital: Hospital, cleared: Cleared) -> None:
        """Somebody who left cannot."""
        assert close(Desk(hospital.client("rook")), cleared.old)[0] == 302
        (entry,) = journal.entries_of_kind("all", "key.closed")
        assert desk_record.payload_of(entry)["role"] == "administrator"

    def test_a_colleague_may_not(self, hospital: Hospital, cleared: Cleared) -> None:
        """L. Fenn sees the key and no form for it."""
        fenn = Desk(hospital.client("fenn"))
        assert f"{page_of(cleared.old)}/close" not in fenn.get(page_of(cleared.old)).text
        with pytest.raises(Refused, match="its own person or an administrator"):
            key_closing.close(hospital.actor("fenn"), cleared.old.kid, PASSPHRASE)
        assert devices.state_of(cleared.old.kid).state == "confirmed"

    def test_only_once(self, hospital: Hospital, cleared: Cleared) -> None:
        """The first closing stands, with its place."""
        key_closing.close(hospital.actor("rook"), cleared.old.kid, PASSPHRASE)
        with pytest.raises(Refused, match="revoked or closed already"):
            key_closing.close(hospital.actor("rook"), cleared.old.kid, PASSPHRASE)
