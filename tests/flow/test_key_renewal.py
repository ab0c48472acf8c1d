"""A phone made a new key: the old one is closed once all that it signed has arrived."""

from typing import NamedTuple

import pytest

from tests.hospital import PASSPHRASE, Client, Hospital, Phone, width_body
from webapp.flow import desk_record, devices
from webapp.records.envelope import to_base64url
from webapp.store import journal

WIDTH = "reading.white_to_white"


class Renewing(NamedTuple):
    """R. Ambler's phone with two records sent, and the new key that it made."""

    old: Phone
    new: Phone
    person: str
    client: Client

    def renew(self, **changed: object) -> tuple[int, str]:
        """Ask for the old key to be closed; return status and code."""
        said = {
            "kid": self.old.kid, "successor": self.new.kid, "signed": 2, "passphrase": PASSPHRASE,
        }  # fmt: skip
        answer = self.client.post("/auth/key/renewed", {**said, **changed})
        return answer.status_code, answer.json.get("code", "")

    def is_open(self) -> bool:
        """Say whether the old key still counts."""
        return devices.state_of(self.old.kid).state == "confirmed"


@pytest.fixture
def renewing(hospital: Hospital) -> Renewing:
    """Return a phone between its two keys."""
    old = hospital.phone()
    person = old.register()
    old.keep(WIDTH, person, "R", width_body())
    return Renewing(old, hospital.phone(), person, hospital.client("ambler"))


def test_the_record_joins_the_new_key_to_the_end_of_the_old(renewing: Renewing) -> None:
    """What arrived stays, the successor is named, and the new key goes on."""
    assert renewing.renew() == (200, "")
    (entry,) = journal.entries_of_kind("all", "key.closed")
    said = desk_record.payload_of(entry)
    assert (said["author"], said["role"]) == ("u-ambler", "optometrist")
    body = {"key": renewing.old.kid, "last_seq": 2, "why": "rotated", "successor": renewing.new.kid}
    assert said["body"] == body
    assert devices.state_of(renewing.old.kid).state == "closed"
    renewing.new.keep(WIDTH, renewing.person, "L", width_body())


@pytest.mark.parametrize(
    ("name", "role"),
    [("ambler", "optometrist"), ("verrill", "surgeon"), ("fenn", "desk"), ("wren", "theatre")],
)
def test_whoever_has_a_key_may_renew_it(hospital: Hospital, name: str, role: str) -> None:
    """A theatre tablet's person too, who writes nothing else that the base signs."""
    old, new = hospital.phone(name), hospital.phone(name)
    mine = Renewing(old, new, "", hospital.client(name))
    assert mine.renew(signed=0) == (200, "")
    (entry,) = journal.entries_of_kind("all", "key.closed")
    assert desk_record.payload_of(entry)["role"] == role
    assert devices.state_of(old.kid).state == "closed"


def test_nothing_may_be_under_way(renewing: Renewing) -> None:
    """A third record waits on the phone: closed now, it would be kept apart."""
    later = renewing.old.record(WIDTH, renewing.person, "L", width_body())
    assert renewing.renew(signed=3) == (409, "device.unsent")
    assert renewing.is_open()
    (receipt,) = renewing.old.push(later)
    assert receipt.result == "stored"
    assert renewing.renew(signed=3) == (200, "")


def test_asked_again_after_a_lost_answer(renewing: Renewing) -> None:
    """The phone hears that the key has ended, and that the first closing stands."""
    renewing.renew()
    assert renewing.renew() == (409, "device.ended")
    assert len(journal.entries_of_kind("all", "key.closed")) == 1


def test_only_for_another_open_key_of_the_same_person(
    hospital: Hospital, renewing: Renewing
) -> None:
    """Not for itself, a colleague's, or one that nobody enrolled."""
    fenn = hospital.phone("fenn")
    assert renewing.renew(successor=renewing.old.kid) == (409, "device.not_own")
    assert renewing.renew(successor=fenn.kid) == (409, "device.not_own")
    assert renewing.renew(successor="0" * 64) == (404, "not_found")
    assert renewing.renew(passphrase="wrong") == (409, "passphrase.wrong")
    assert renewing.is_open()


def test_nobody_else_closes_it(hospital: Hospital, renewing: Renewing) -> None:
    """Neither a colleague nor, by this door, an administrator."""
    for name in ("fenn", "rook"):
        other = renewing._replace(client=hospital.client(name))
        assert other.renew()[0] in (403, 404, 409)
    assert renewing.is_open()


def test_a_new_key_is_enrolled_by_the_passphrase(
    hospital: Hospital, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Hours after the sign-in the passphrase is asked for, and a wrong one enrols nothing."""
    client, phone = hospital.client("ambler"), hospital.phone()
    # Any P-256 key will do; its own person may name it again.
    spki = to_base64url(phone.key.spki)
    then = devices.clock.seconds()
    monkeypatch.setattr(devices.clock, "seconds", lambda: then + 3601)
    said = {"spki": spki, "label": "x"}
    wrong = client.post("/auth/enrol", {**said, "passphrase": "wrong"})
    assert (wrong.status_code, wrong.json["code"]) == (409, "passphrase.wrong")
    right = client.post("/auth/enrol", {**said, "passphrase": PASSPHRASE})
    assert (right.status_code, right.json["kid"]) == (200, phone.kid)
