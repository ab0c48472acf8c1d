"""Builds what happens in theatre with an invented eye: a day's list, checks, confirmations."""

from typing import Any

from tests.core import records
from tests.core.decided import DESK, SURGEON, approval, box_checked, ordered, received, sent

Entry = records.Entry
NURSE = {
    "author": "u-wren", "role": "theatre", "key": "k9", "wall": "2026-11-25T09:05:00.000Z",
}  # fmt: skip
SURGEON_THERE = {**SURGEON, "wall": "2026-11-25T09:00:00.000Z"}
DAY = "2026-11-25"
GS = "\u241d"
GTIN = "09506000134352"
SCAN = f"]d201{GTIN}1731022810LOT7{GS}21SER9"
TRACE = {"lot": "LOT7", "serial": "SER9", "expiry_date": "2031-02-28"}

EYE = records.whole_eye()
REQUEST = sent(EYE)
APPROVAL = approval(EYE, REQUEST)
ORDER = ordered(APPROVAL)
ARRIVED = [*EYE, REQUEST, APPROVAL, ORDER, received(ORDER)]
LENS: dict[str, Any] = ORDER["payload"]["body"]["lens"]  # type: ignore[index]
LABEL = {**LENS, **TRACE}


def box_check(
    *seen: Entry, outcome: str = "agrees", gtin: str | None = GTIN, **changed: object
) -> Entry:
    """Return the desk's check of a box that has seen earlier ones."""
    label = {**LABEL, **changed}
    return box_checked(ORDER, label, seen, outcome, gtin)


def listed(operate_on: str = DAY, who: dict[str, Any] = DESK, **header: object) -> Entry:
    """Return that the eye was put on a day's list."""
    body = {"order": ORDER["id"], "operate_on": operate_on, "place": None}
    return records.record("theatre.listed", body, "R", **{**who, **header})


def check(label: Entry | None, who: dict[str, Any] = SURGEON_THERE, **changed: object) -> Entry:
    """Return a check in theatre of a scanned box, parts changed by name."""
    body = {
        "order": ORDER["id"], "label": None if label is None else label["id"],
        "person_confirmed": ["birth", "name"], "eye": "R", "code": SCAN, "trace": None,
        "second_trace": None, "printed_same": 1, "incision_meridian_deg": 180,
        "device_day": DAY, "outcome": "agrees", "why": None, "note": None, **changed,
    }  # fmt: skip
    return records.record("theatre.checked", body, "R", **who)


def ended(why: str = "turned", **changed: object) -> Entry:
    """Return that a lens was not implanted."""
    return check(None, outcome="not_implanted", why=why, note="Opened upside down.", **changed)


def confirmed(of: Entry, who: dict[str, Any] = NURSE, **changed: object) -> Entry:
    """Return a second person's confirmation."""
    body = {"check": of["id"], "marks": "seen", "axis_said": 1, **changed}
    return records.record("theatre.confirmed", body, "R", **who)
