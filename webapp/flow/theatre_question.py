"""What theatre is told of one eye, asked of the core as a tablet asks it."""

from typing import Any

from webapp.core_bundle import core_sha256
from webapp.flow import clock, folding, joined
from webapp.flow.calculation import as_entry
from webapp.flow.calculation import ask as ask_core
from webapp.store.projections.orders import OrderLine


def ask(line: OrderLine, sheet: str | None = None) -> dict[str, Any]:
    """Return what stops, how the lens lies, the cautions, and whether a sheet of paper holds.

    Args:
        line: the order.
        sheet: what the code of a sheet says, or None.
    """
    return ask_core(
        {
            "do": "theatre",
            "entries": [as_entry(entry) for entry in joined.entries_of(line.person)],
            "reference": folding.in_force(),
            "eye": line.eye,
            "today": clock.today(),
            "core": core_sha256(),
            "order": line.order_id,
            "days": [clock.today()],
            "sheet": sheet,
        }
    )
