"""What theatre is told of one eye, asked of the core as a tablet asks it."""

from typing import Any

from webapp.core_bundle import core_sha256
from webapp.flow import clock, folding, joined
from webapp.flow.calculation import as_entry, payload_of
from webapp.flow.calculation import ask as ask_core
from webapp.store import journal
from webapp.store.journal import Entry
from webapp.store.projections import implants
from webapp.store.projections.orders import OrderLine


def ask(line: OrderLine, sheet: str | None = None) -> dict[str, Any]:
    """Return what stops, how the lens lies, the cautions, and whether a sheet of paper holds.

    Args:
        line: the order.
        sheet: what the code of a sheet says, or None.
    """
    entries = joined.entries_of(line.person)
    return ask_core(
        {
            "do": "theatre",
            "entries": [as_entry(entry) for entry in entries],
            "others": [as_entry(entry) for entry in _of_others(entries)],
            "reference": folding.in_force(),
            "eye": line.eye,
            "today": clock.today(),
            "core": core_sha256(),
            "order": line.order_id,
            "days": [clock.today()],
            "sheet": sheet,
        }
    )


def _of_others(entries: list[Entry]) -> list[Entry]:
    """Return the standing surgeries of other people with the serial number of a box of theirs."""
    boxes = [payload_of(one.payload)["body"] for one in entries if one.kind == "label.checked"]
    serials = {implants.serial_key(box["first"]["serial"]) for box in boxes}
    found = implants.with_serials({serial for serial in serials if serial})
    own = {one.person for one in entries}
    others = [one.surgery_id for one in found if one.person not in own]
    return list(journal.entries_by_id(others).values())
