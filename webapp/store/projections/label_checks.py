"""Boxes that agreed with an order: one row for each check, so that no lens serves two orders."""

from typing import NamedTuple

from peewee import CharField

from webapp.store.database import Row


class LabelCheckRow(Row):
    """One check of a box that agreed."""

    check_id = CharField(64, primary_key=True)
    order_id = CharField(64, index=True)
    serial = CharField(index=True)
    """As it is compared: see ``serial_key``."""
    lot = CharField()
    """Compared as a serial number is."""
    gtin = CharField(14, null=True)


class LabelCheck(NamedTuple):
    """Which lens was taken for which order."""

    check_id: str
    order_id: str
    serial: str
    lot: str
    gtin: str | None

    def is_same_lens(self, other: "LabelCheck") -> bool:
        """Say whether two checks saw one lens: the serial number with lot or product number."""
        same_product = self.gtin is not None and self.gtin == other.gtin
        return self.serial == other.serial and (self.lot == other.lot or same_product)


def with_serial(serial: str) -> list[LabelCheck]:
    """Return the checks of lenses with this serial number, as ``serial_key`` writes it."""
    rows = LabelCheckRow.select().where(LabelCheckRow.serial == serial)
    return [LabelCheck(*(getattr(row, name) for name in LabelCheck._fields)) for row in rows]


def keep(check: LabelCheck) -> None:
    """Keep a check that agreed."""
    LabelCheckRow.create(**check._asdict())
