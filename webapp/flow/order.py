"""Ordering the approved lens: from a live approval only, once, in one transaction."""

import json
from typing import Any

from webapp.flow import (
    accounts,
    casefile,
    clock,
    desk_record,
    folding,
    joined,
    order_conditions,
    recheck,
)
from webapp.flow.actor import Actor
from webapp.flow.desk_record import Draft
from webapp.flow.order_conditions import Condition
from webapp.flow.order_records import line_of, live_line, refer, write
from webapp.flow.order_sheet import OrderSheet, sheet
from webapp.flow.refusal import Refused
from webapp.records import canonical
from webapp.records.draft import Correction, Subject
from webapp.store.database import writing
from webapp.store.journal import Entry
from webapp.store.projections import orders

__all__ = [
    "Condition", "OrderSheet", "add_reference", "cancel", "conditions", "order_of_case", "place",
    "record_print", "sheet",
]  # fmt: skip


def conditions(actor: Actor, person: str, eye: str) -> list[Condition]:
    """Return the conditions for ordering this eye now, each with its sentence."""
    home = casefile.home_row(actor, person).person
    recheck.run_waiting_of(home)
    entries = joined.entries_of(home)
    fold = folding.fold_entries(entries, folding.in_force())
    return order_conditions.all_of(fold, entries, eye)


def place(
    actor: Actor, person: str, eye: str, approval_id: str, passphrase: str,
    supplier_reference: str = "",
) -> str:  # fmt: skip
    """Order the lens of this approval and return the order's record id.

    Asking again for the same approval returns the same order. The passphrase is asked afresh. A
    reference that cannot be taken orders nothing.

    Raises:
        NotFound: no such case at a site of this desk person.
        Refused: a condition does not hold; ``passphrase.wrong`` has field ``passphrase``, a
            reference that cannot be taken has field ``supplier_reference``.
    """
    actor.require("order.write", casefile.home_row(actor, person).site)
    accounts.confirm(actor, passphrase)
    with writing():
        order_id = place_signed_for(actor, person, eye, approval_id)
        if supplier_reference:
            add_reference(actor, order_id, supplier_reference)
    return order_id


def place_signed_for(actor: Actor, person: str, eye: str, approval_id: str) -> str:
    """Order the lens of this approval, once the passphrase was asked for; return the order's id.

    Raises:
        NotFound: no such case at a site of this desk person.
        Refused: a condition does not hold.
    """
    recheck.run_waiting_of(casefile.home_row(actor, person).person)
    with writing():
        # In here no joining or separation can come in between.
        row = casefile.home_row(actor, person)
        actor.require("order.write", row.site)
        return _placed_once(actor, Subject(row.person, eye, row.site), approval_id)


def _placed_once(actor: Actor, subject: Subject, approval_id: str) -> str:
    """Return the order of this approval, placing it unless it is placed already."""
    person, eye = str(subject.person), str(subject.eye)
    placed = orders.of_approval(approval_id)
    here = joined.registrations(person)
    if placed is not None and placed.person in here and placed.eye == eye:
        return str(placed.order_id)
    approval = _approval_to_order(person, eye, approval_id)
    body = json.loads(approval.payload)["body"]
    chosen = _write(actor, subject, _order_body(approval, "lens", body["shown"]["lens"]))
    # Absent from approvals of before there were back-up lenses, and from decisions to exchange.
    if body.get("backup") is not None:
        backup = _order_body(approval, "backup", body["backup"])
        _write(actor, subject, {**backup, "backup_of": chosen})
    return chosen


def _write(actor: Actor, subject: Subject, body: dict[str, Any]) -> str:
    return desk_record.write(actor, Draft("order.placed", subject, "desk", body))


def _approval_to_order(person: str, eye: str, approval_id: str) -> Entry:
    """Return the approval once every condition holds, on the records of this transaction."""
    entries = joined.entries_of(person)
    fold = folding.fold_entries(entries, folding.in_force())
    approval = fold["eyes"][eye]["approval"]
    if approval is None or approval["id"] != approval_id:
        raise Refused(
            "order.not_newest",
            "That approval is not the one that counts for this eye now. Read the case again.",
        )
    for condition in order_conditions.all_of(fold, entries, eye):
        if not condition.ok:
            raise Refused(condition.code, condition.text)
    return next(entry for entry in entries if entry.id == approval_id)


def _order_body(approval: Entry, name: str, lens: dict[str, Any]) -> dict[str, Any]:
    """Return the order of a lens that an approval holds under a name."""
    # The order line is the approved lens byte for byte: the same canonical bytes in both records.
    if f'"{name}":'.encode() + canonical.encode(lens) not in approval.payload:
        raise RuntimeError("the approved lens cannot be carried over unchanged")
    return {
        "approval": approval.id,
        "digest": json.loads(approval.payload)["body"]["digest"],
        "lens": lens,
        "number": f"{clock.today()[:4]}-{orders.next_number():05d}",
    }


def add_reference(actor: Actor, order_id: str, supplier_reference: str) -> None:
    """Record the reference the supplier gave for this order.

    Raises:
        Refused: the order is cancelled, or another order carries this reference.
    """
    with writing():
        refer(
            actor,
            live_line(actor, order_id, "order.follow"),
            supplier_reference.strip(),
            "supplier_reference",
        )


def cancel(
    actor: Actor, order_id: str, reason: str, passphrase: str, supplier_reply: str | None = None
) -> None:
    """Cancel a live order with a reason; the eye may then be planned and ordered again.

    The order of its back-up lens is cancelled with it; that of a back-up alone, by itself.

    Args:
        actor: who cancels.
        order_id: the order.
        reason: why.
        passphrase: of the actor, asked afresh.
        supplier_reply: what the supplier answered; needed once the order was confirmed there.
    """
    accounts.confirm(actor, passphrase)
    body = {"order": order_id, "supplier_reply": supplier_reply}
    with writing():
        line = live_line(actor, order_id, "order.write")
        backup = orders.backup_for(order_id)
        if backup is not None:
            of_backup = {**body, "order": backup.order_id}
            write(actor, backup, "order.cancelled", of_backup, Correction(None, reason))
        write(actor, line, "order.cancelled", body, Correction(None, reason))


def record_print(actor: Actor, order_id: str) -> int:
    """Record that one more copy is printed and return its number, 1 for the first."""
    with writing():
        line = line_of(actor, order_id)
        actor.require("order.follow", line.site)
        copy = line.copies + 1
        write(actor, line, "order.printed", {"order": order_id, "copy": copy})
    return int(copy)


def order_of_case(actor: Actor, person: str, eye: str) -> str | None:
    """Return the id of the live order of this eye, else of its newest order, else None."""
    casefile.home_row(actor, person)
    lines = orders.of_people(joined.registrations(person), eye)
    return str(lines[0].order_id) if lines else None
