"""Surgeries: one row for each record of an implanted lens, to judge what names it.

A lens that was taken out keeps its row, and its serial number: it is never implanted again.
"""

from string import ascii_lowercase, ascii_uppercase
from typing import NamedTuple

from peewee import CharField, IntegerField

from webapp.store.database import Row, rows_among, run


class ImplantRow(Row):
    """One record of a surgery; ``live`` falls to 0 when it is corrected or withdrawn.

    1 for one that stands, ``CAME_LATE`` where it came after a later one of its eye.
    """

    surgery_id = CharField(64, primary_key=True)
    person = CharField(index=True)
    eye = CharField(1)
    operated = CharField(10)
    serial = CharField(null=True, index=True)
    """As it is compared: see ``serial_key``."""
    live = IntegerField()
    order_id = CharField(64, null=True, index=True)
    """The order that the lens came from."""
    out_by = CharField(64, null=True, index=True)
    """The record by which the lens was taken out; null while it is in the eye."""
    out_on = CharField(10, null=True)


class Surgery(NamedTuple):
    """What the rules need to know of a recorded surgery."""

    surgery_id: str
    person: str
    eye: str
    operated: str
    serial: str | None
    live: int
    order_id: str | None = None
    out_by: str | None = None
    out_on: str | None = None


COLUMNS = ", ".join(Surgery._fields)
LIVE_ONCE = (
    "CREATE UNIQUE INDEX implant_row_eye_once ON implant_row (person, eye) "
    "WHERE live = 1 AND out_by IS NULL"
)
SERIAL_ONCE = "CREATE UNIQUE INDEX implant_row_serial_once ON implant_row (serial) WHERE live = 1"
"""The database itself refuses a second lens in an eye and a serial implanted twice (I20)."""

CAME_LATE = 2
"""``live`` of a surgery that stands, and came after the record of a later one of its eye."""

IN_THE_EYE_AGAIN = (
    "UPDATE implant_row SET out_by = NULL, out_on = NULL, live = CASE "
    "WHEN live = 1 AND EXISTS (SELECT 1 FROM implant_row other WHERE other.person = "
    "implant_row.person AND other.eye = implant_row.eye AND other.live = 1 "
    "AND other.out_by IS NULL) THEN ? ELSE live END WHERE out_by = ?"
)
"""Where another lens lies in the eye the two contradict already: it stands as one that came late.

The index would refuse it otherwise, and with it all that was handed in beside it.
"""


# Of ASCII alone, as the core compares: older records may hold letters that Pythons fold unlike.
_AS_COMPARED = str.maketrans(ascii_lowercase, ascii_uppercase, " ")


def serial_key(serial: str | None) -> str | None:
    """Return a serial number as it is compared: letter case and spaces make no other lens."""
    return None if serial is None else serial.translate(_AS_COMPARED)


def of_people(people: set[str]) -> list[Surgery]:
    """Return every recorded surgery of these people."""
    return [Surgery(*row) for row in rows_among(COLUMNS, "implant_row", "person", people)]


def operated_people() -> set[str]:
    """Return everybody with a standing surgery, the lens in the eye or taken out."""
    return {
        str(person) for (person,) in run("SELECT DISTINCT person FROM implant_row WHERE live > 0")
    }


def with_serials(serials: set[str]) -> list[Surgery]:
    """Return the standing surgeries with these serial numbers, as ``serial_key`` writes them."""
    found = rows_among(COLUMNS, "implant_row", "serial", serials)
    return [surgery for surgery in map(Surgery._make, found) if surgery.live]


def find(surgery_id: str) -> Surgery | None:
    """Return one recorded surgery."""
    found = [*rows_among(COLUMNS, "implant_row", "surgery_id", [surgery_id])]
    return Surgery._make(found[0]) if found else None


def end(record_id: str) -> None:
    """Note that a surgery, or a removal, was corrected or withdrawn; call before what replaces it.

    A lens that it took out lies in its eye again.
    """
    run("UPDATE implant_row SET live = 0 WHERE surgery_id = ?", record_id)
    run(IN_THE_EYE_AGAIN, CAME_LATE, record_id)


def take_out(surgery_id: str, by: str, on: str) -> None:
    """Note by which record, on which day, the lens of a surgery was taken out."""
    run("UPDATE implant_row SET out_by = ?, out_on = ? WHERE surgery_id = ?", by, on, surgery_id)


def naming(order_id: str) -> list[Surgery]:
    """Return the standing surgeries whose lens came from an order."""
    found = rows_among(COLUMNS, "implant_row", "order_id", [order_id])
    return [surgery for surgery in map(Surgery._make, found) if surgery.live]


def keep(surgery: Surgery) -> None:
    """Keep a new surgery; the database refuses a second one that stands for the same eye.

    One that is older than a lens which lies in the eye by the records may come late: both stand,
    and contradict each other, until somebody says how the older one came out.
    """
    live = CAME_LATE if surgery.live and _lies_later(surgery) else surgery.live
    ImplantRow.create(**surgery._replace(live=live)._asdict())


def _lies_later(surgery: Surgery) -> bool:
    """Say whether a lens of a later surgery lies in the eye."""
    return any(
        one.live and one.eye == surgery.eye and one.out_by is None
        and one.operated > surgery.operated
        for one in of_people({surgery.person})
    )  # fmt: skip
