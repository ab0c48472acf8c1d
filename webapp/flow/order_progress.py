"""What the supplier says of an order, recorded at the desk: confirmed, shipped, arrived."""

from typing import Any

from webapp.flow import accounts, kept_folds
from webapp.flow.actor import Actor
from webapp.flow.order_records import line_of, refer, refuse_of_another, write
from webapp.store.database import writing
from webapp.store.projections.orders import OrderLine

Progress = dict[str, Any]


def progress(actor: Actor, order_id: str) -> Progress:
    """Return how far an order is, as the core's fold says it; NotFound as for its sheet."""
    line = line_of(actor, order_id)
    found: list[Progress] = kept_folds.current_fold(line.person)["eyes"][line.eye]["orders"]
    return next(one for one in found if one["id"] == order_id)


def confirm(actor: Actor, order_id: str, said: dict[str, Any], passphrase: str) -> Progress:
    """Record what the supplier confirmed, as it was typed, and return the order's progress.

    A confirmation that differs is recorded too: the order then does not advance. The first
    reference that the supplier gives becomes the order's.

    Args:
        actor: who typed it.
        order_id: the order.
        said: the body of ``order.confirmed`` but for ``order``.
        passphrase: of the actor, asked afresh.

    Raises:
        Refused: the order was cancelled, another confirmation came before, or a day or the
            reference cannot be right; ``field`` says which.
    """
    accounts.confirm(actor, passphrase)
    with writing():
        line = line_of(actor, order_id)
        actor.require("order.write", line.site)
        refuse_of_another(line, said["reference"], "reference")
        if line.live and line.supplier_reference is None:
            refer(actor, line, said["reference"], "reference")
        write(actor, line, "order.confirmed", {"order": order_id, **said})
    return progress(actor, order_id)


def ship(actor: Actor, order_id: str, shipped_on: str, expected_on: str | None) -> None:
    """Record that the supplier shipped the lens.

    Raises:
        Refused: it was cancelled, shipped or received already, or confirmed otherwise.
    """
    body = {"order": order_id, "shipped_on": shipped_on, "expected_on": expected_on}
    with writing():
        write(actor, _line_to_follow(actor, order_id), "order.shipped", body)


def arrive(actor: Actor, order_id: str, received_on: str) -> None:
    """Record that the lens arrived at the base; its label is checked after that.

    Raises:
        Refused: the order was cancelled, has arrived already, or was confirmed otherwise.
    """
    body = {"order": order_id, "received_on": received_on}
    with writing():
        write(actor, _line_to_follow(actor, order_id), "order.received", body)


def _line_to_follow(actor: Actor, order_id: str) -> OrderLine:
    """Return the row of an order that this person may follow; the rules say what may come next."""
    line = line_of(actor, order_id)
    actor.require("order.follow", line.site)
    return line
