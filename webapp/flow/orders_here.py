"""The orders of an eye up to a record that is being judged: the stored ones and those before it.

After a restore phones give back in one batch an order, its end and the next order; a rule that
asked the stored orders alone would refuse the next one, and the lens would be ordered again.
"""

from collections.abc import Iterable
from typing import NamedTuple

from webapp.records.envelope import Record
from webapp.store.projections import orders


class OrderHere(NamedTuple):
    """One order; ``live`` is false once it was cancelled, whether or not its lens was implanted."""

    order_id: str
    backup_of: str | None
    live: bool


def of_eye(people: list[str], eye: str, before: Iterable[Record]) -> dict[str, OrderHere]:
    """Return the orders of an eye by their ids.

    Args:
        people: every registration of its person.
        eye: "R" or "L".
        before: records of this batch that were admitted, in order.
    """
    found = {
        str(line.order_id): OrderHere(str(line.order_id), line.backup_of, bool(line.live))
        for line in orders.of_people(people, eye)
    }
    for record in before:
        payload = record.payload
        kind, body = payload["kind"], payload["body"]
        if kind == "order.cancelled":
            _end(body["order"], found)
        elif kind == "order.placed" and payload["person"] in people and payload["eye"] == eye:
            found[record.id] = OrderHere(record.id, body.get("backup_of"), True)
    return found


def _end(order_id: str, found: dict[str, OrderHere]) -> None:
    """Cancel an order, and that of its back-up with it."""
    for name, one in found.items():
        if order_id in (name, one.backup_of):
            found[name] = one._replace(live=False)


def pair_of(order_id: str, found: dict[str, OrderHere]) -> list[str]:
    """Return an order with those of its back-up, or with that of its chosen lens and its others."""
    one = found.get(order_id)
    chosen = order_id if one is None or one.backup_of is None else one.backup_of
    return [chosen, *(each.order_id for each in found.values() if each.backup_of == chosen)]
