"""Builds an invented eye with a chosen and a back-up lens: ordered, arrived, checked, released."""

from typing import Any

from tests.core import records
from tests.core.decided import DESK, SURGEON, approval, ask, box_checked, received, sent

Entry = records.Entry
EYE = records.whole_eye()
REQUEST = sent(EYE)
OFFERED: list[dict[str, Any]] = ask(records.plan_request(EYE))["backups"]
BACKUP = OFFERED[1]
APPROVAL = approval(EYE, REQUEST, backup=BACKUP)


def placed(lens: dict[str, Any], number: str, backup_of: Entry | None = None) -> Entry:
    """Return the order of a lens of the approval."""
    body = {"approval": APPROVAL["id"], "digest": records.DIGEST, "lens": lens, "number": number}
    if backup_of is not None:
        body["backup_of"] = backup_of["id"]
    return records.record("order.placed", body, "R", **DESK)


CHOSEN_LENS: dict[str, Any] = APPROVAL["payload"]["body"]["shown"]["lens"]  # type: ignore[index]
CHOSEN = placed(CHOSEN_LENS, "SP-1")
SPARE = placed(BACKUP, "SP-2", CHOSEN)
ORDERED = [*EYE, REQUEST, APPROVAL, CHOSEN, SPARE]
ARRIVED = [*ORDERED, received(CHOSEN), received(SPARE)]


def box(order: Entry, serial: str, *seen: Entry, outcome: str = "agrees") -> Entry:
    """Return the desk's check of a box of one of the two orders."""
    lens = order["payload"]["body"]["lens"]  # type: ignore[index]
    label = {**lens, "lot": "LOT7", "serial": serial, "expiry_date": "2031-02-28"}
    return box_checked(order, label, seen, outcome)


def release(check: Entry, surgeon: dict[str, Any] = SURGEON, **changed: object) -> Entry:
    """Return a surgeon's record that the chosen lens is not implanted, parts changed by name."""
    body = {"order": SPARE["id"], "instead_of": CHOSEN["id"], "check": check["id"], **changed}
    who = {**surgeon, "wall": "2026-12-06T06:00:00.000Z"}
    return records.record("backup.released", body, "R", reason="It has expired.", **who)


CHOSEN_BOX = box(CHOSEN, "SER9")
EXPIRED = box(CHOSEN, "SER9", outcome="differs")
SPARE_BOX = box(SPARE, "SER5")
RELEASE = release(EXPIRED)
