"""When a box may be looked at: its order waits for it, no question is open, the clock is good."""

from typing import Any

from webapp.core.dates import day_words
from webapp.flow import clock, folding, joined
from webapp.flow.refusal import Refused
from webapp.store import journal
from webapp.store.projections import orders


def require_open(line: orders.OrderLine) -> None:
    """Refuse a box of an order that ended, or that a surgeon must answer about first."""
    _require_clock(line.site)
    if not line.live:
        raise Refused("order.cancelled", "This order was cancelled. Do not implant this lens.")
    if line.used:
        raise Refused(
            "order.implanted",
            "A surgery on record implanted the lens of this order. Do not implant another one from "
            "it.",
        )
    eye = eye_of(line)
    stages = {one["id"]: one["stage"] for one in eye["orders"]}
    if stages[line.order_id] != "received":
        raise Refused(
            "box.not_here",
            "This lens has not arrived by the records, or the supplier confirmed something else. "
            "Record its arrival on the page of the order first.",
        )
    late = eye["late"]
    if late is not None and late["blocks"]:
        raise Refused(
            "box.late",
            "Something about this eye came after the order, and a surgeon has not kept the order. "
            "The lens is not released before that.",
        )


def _require_clock(site: str) -> None:
    """Refuse to judge a last day by a clock that is known to be behind (H31)."""
    newest = journal.newest_receipt(site)
    if newest is not None and clock.today() < newest[:10]:
        raise Refused(
            "clock.behind",
            f"This server's clock says {day_words(clock.today())}, but records came in on "
            f"{day_words(newest)}. A lens that has expired would pass. Have the clock put right; "
            "until then no box is checked.",
        )


def differed(line: orders.OrderLine) -> list[str]:
    """Return the checks of this order that differed, at the desk or in theatre."""
    found = boxes_of(eye_of(line), str(line.order_id))
    return list(found["doubts"]) if found else []


def boxes_of(eye: dict[str, Any], order_id: str) -> dict[str, Any] | None:
    """Return the checks of one order of an eye: of its chosen lens, or of the back-up."""
    both = eye["backup"]
    if both is not None:
        box = both["box" if order_id == both["order"]["id"] else "chosen_box"]
    else:
        box = eye["box"]
    found: dict[str, Any] | None = box
    return found


def eye_of(line: orders.OrderLine) -> dict[str, Any]:
    """Return what the core makes of the eye that a lens was ordered for."""
    entries = joined.entries_of(line.person)
    fold = folding.fold_entries(entries, folding.in_force())
    eye: dict[str, Any] = fold["eyes"][line.eye]
    return eye
