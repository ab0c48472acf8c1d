"""Clocks of devices: flagged and shown, and nothing is refused or ordered by them."""

import pytest

from tests.hospital import Hospital, Phone, person_body, width_body
from webapp.flow import clock, device_clocks
from webapp.store import clocks, journal

WIDTH = "reading.white_to_white"
NOW = "2026-11-25T05:00:00.000Z"


@pytest.fixture
def phone(hospital: Hospital, monkeypatch: pytest.MonkeyPatch) -> Phone:
    """Return the Saltpan optometrist's phone; the base's clock stands."""
    monkeypatch.setattr(clock, "instant", lambda: NOW)
    return hospital.phone("ambler", "saltpan")


@pytest.mark.parametrize(
    ("wall", "flag"),
    [
        ("2026-11-25T05:02:00.000Z", []),
        ("2026-11-25T05:02:01.000Z", [("ahead", 121)]),
        ("2026-11-25T10:30:00.000+05:30", []),
        ("2026-11-25T04:45:12.120Z", []),
        ("2026-11-25T04:45:11.000Z", [("back", 1)]),
        ("2026-09-20T05:00:00.000Z", [("back", 5701512)]),
    ],
)
def test_what_is_flagged(phone: Phone, wall: str, flag: list[tuple[str, int]]) -> None:
    """Over two minutes ahead of receipt, or behind the key's record before; an offset is read."""
    person = phone.register()
    phone.keep(WIDTH, person, "R", width_body(), wall=wall)
    assert [(row.flag, row.seconds) for row in clocks.flags()] == flag


def test_days_offline_are_ordinary_and_months_are_not(phone: Phone) -> None:
    """A camp of weeks is not flagged; a clock of another year is."""
    phone.keep("person.registered", "0193a5c0-0000-7000-8000-00000000000a", None,
               person_body(), wall="2026-11-01T05:00:00Z")  # fmt: skip
    assert clocks.flags() == []
    other = Phone(phone.actor, "optometrist", "saltpan")
    other.keep("person.registered", "0193a5c0-0000-7000-8000-00000000000b", None,
               person_body(), wall="2020-01-01T00:00:00Z")  # fmt: skip
    assert [row.flag for row in clocks.flags()] == ["old"]


def test_a_clock_of_another_lifetime_stops_nothing(hospital: Hospital, phone: Phone) -> None:
    """Its difference outgrows 32 bits; the record is kept and flagged, the clock is listed."""
    person = phone.register()
    phone.keep(WIDTH, person, "R", width_body(), wall="2098-11-25T05:00:00.000Z")
    # 72 years, 18 of them leap years.
    far_s = (72 * 365 + 18) * 86400
    assert far_s > 2**31
    assert [(row.flag, row.seconds) for row in clocks.flags()] == [("ahead", far_s)]
    client, key = hospital.client("ambler"), {"X-Lampside-Key": phone.kid}
    answer = client.get("/sync/status?wall=2098-11-25T05:00:00.000Z", headers=key)
    assert answer.status_code == 200
    (row,) = device_clocks.listing(hospital.actor("fenn"))
    assert row.skew_s == far_s


def test_the_order_is_that_of_receipt(phone: Phone) -> None:
    """A record from the future comes after the one before it, whatever its clock says."""
    someone = phone.register()
    later = phone.keep(WIDTH, someone, "R", width_body(), wall="2027-01-01T00:00:00Z")
    last = phone.keep(WIDTH, someone, "L", width_body(), wall="2026-11-25T04:50:00Z")
    assert [entry.id for entry in journal.entries_after("saltpan", 1, 9)] == [later, last]


def test_the_desk_sees_which_clock_is_off(hospital: Hospital, phone: Phone) -> None:
    """A phone that says its time is listed when it is off by more than two minutes."""
    client, key = hospital.client("ambler"), {"X-Lampside-Key": phone.kid}
    client.get("/sync/status?wall=2026-11-25T05:01:59.000Z", headers=key)
    assert device_clocks.listing(hospital.actor("fenn")) == []
    client.get("/sync/status?wall=2026-11-25T04:48:00.000Z", headers=key)
    (row,) = device_clocks.listing(hospital.actor("fenn"))
    assert (row.name, row.skew_s, row.heard_at) == ("R. Ambler", -720, NOW)
    page = " ".join(hospital.client("fenn").get("/desk/devices").text.split())
    assert "12 min behind when heard" in page


@pytest.mark.parametrize("wall", ["", "yesterday", "2026-11-25T05:00:00", "9" * 400])
def test_a_clock_that_cannot_be_read_changes_nothing(
    hospital: Hospital, phone: Phone, wall: str
) -> None:
    """The answer comes all the same."""
    client, key = hospital.client("ambler"), {"X-Lampside-Key": phone.kid}
    assert client.get(f"/sync/status?wall={wall}", headers=key).status_code == 200
    assert [one for one in clocks.everything() if one.skew_s is not None] == []


def test_nobody_says_the_time_of_anothers_device(hospital: Hospital, phone: Phone) -> None:
    """A colleague's key is passed over."""
    key = {"X-Lampside-Key": phone.kid}
    hospital.client("verrill").get("/sync/status?wall=2026-11-25T04:00:00Z", headers=key)
    assert clocks.everything() == []
