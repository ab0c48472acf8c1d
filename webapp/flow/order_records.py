"""What every record about an order needs: the order's row, whose it is, and the signature."""

from typing import Any

from webapp.flow import desk_record
from webapp.flow.actor import Actor
from webapp.flow.desk_record import Draft
from webapp.flow.refusal import NotFound, Refused
from webapp.records.draft import NO_CORRECTION, Correction, Subject
from webapp.store.projections import orders
from webapp.store.projections.orders import OrderLine


def line_of(actor: Actor, order_id: str) -> OrderLine:
    """Return the row of an order; NotFound when unknown or at another site."""
    line = orders.find(order_id)
    if line is None or not actor.may("order.read", line.site):
        raise NotFound("order")
    return line


def live_line(actor: Actor, order_id: str, action: str) -> OrderLine:
    """Return the row of an order on which this person may do this; Refused once it is cancelled."""
    line = line_of(actor, order_id)
    actor.require(action, line.site)
    if not line.live:
        raise Refused("order.cancelled", "This order was cancelled; it cannot be changed.")
    return line


def write(
    actor: Actor, line: OrderLine, kind: str, body: dict[str, Any],
    correction: Correction = NO_CORRECTION,
) -> None:  # fmt: skip
    """Sign, judge and store a record about an order; call inside ``writing()``."""
    subject = Subject(line.person, line.eye, line.site)
    desk_record.write(actor, Draft(kind, subject, "desk", body, correction))


def refer(actor: Actor, line: OrderLine, reference: str, field: str) -> None:
    """Record the supplier's reference unless the order carries it; call inside ``writing()``.

    Raises:
        Refused: another order carries it; ``field`` says where it was typed.
    """
    if line.supplier_reference == reference:
        return
    refuse_of_another(line, reference, field)
    body = {"order": line.order_id, "supplier_reference": reference}
    write(actor, line, "order.referenced", body)


def refuse_of_another(line: OrderLine, reference: str, field: str) -> None:
    """Refuse a reference that another order carries."""
    other = orders.with_reference(reference)
    if other is not None and other.order_id != line.order_id:
        raise Refused(
            "order.reference_twice",
            "Another order carries this reference. Check which lens the supplier means.",
            field,
        )
