"""The rules for what the desk records of an order at the supplier: it lives, and goes forwards.

How far an order is and whether a confirmation differs is the core's answer, from the records of
this transaction; these rules say what may be recorded next.
"""

import json
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from webapp.flow import clock
from webapp.flow.ledger import Ledger
from webapp.flow.refusal import Refused

Payload = dict[str, Any]
Progress = dict[str, Any]
A_DAY = timedelta(days=1)
"""Places on earth may be a day ahead of UTC, or behind it."""
A_YEAR = timedelta(days=366)
ARRIVED = "received"


def check(payload: Payload, ledger: Ledger) -> None:
    """Refuse a record that does not follow from how far its order is."""
    rule = RULES.get(payload["kind"])
    if rule is not None:
        rule(payload, ledger.progress_of(payload), ledger)


def _referenced(_payload: Payload, found: Progress, _ledger: Ledger) -> None:
    if found["confirmations"] and found["stage"] != "differs":
        raise Refused(
            "order.confirmed_already",
            "The supplier’s confirmation gave the reference of this order. Record another "
            "confirmation if the supplier sends one.",
            "supplier_reference",
        )


def _confirmed(payload: Payload, found: Progress, ledger: Ledger) -> None:
    _lives(found, "A confirmation that comes now is for the supplier to take back.")
    _a_day_of_its_own(payload, "confirmed_on", ledger)
    _soon_enough(payload)
    standing = [one["id"] for one in found["confirmations"]]
    if payload["body"]["corrects"] != sorted(standing):
        raise Refused(
            "order.other_confirmation",
            "Another confirmation of this order is here by now. Read it on the order’s page, then "
            "record what the supplier sent after it."
            if standing
            else "This order has no confirmation that could be corrected. Read its page again.",
        )
    typed_by = {_author(ledger, one) for one in standing}
    if payload["body"]["correction"] == "typing" and payload["author"] in typed_by:
        raise Refused(
            "order.own_typing",
            "Whoever typed the confirmation cannot say alone that it was typed wrongly. A "
            "colleague reads the supplier’s paper and types it.",
            "correction",
        )


def _author(ledger: Ledger, record_id: str) -> str | None:
    fact = ledger.find(record_id)
    return fact.author if fact else None


def _shipped(payload: Payload, found: Progress, ledger: Ledger) -> None:
    _lives(found, "Tell the supplier.")
    _agrees(found)
    _a_day_of_its_own(payload, "shipped_on", ledger)
    _soon_enough(payload)
    if found["stage"] == ARRIVED:
        raise Refused("order.arrived", "The lens of this order has arrived already.")
    if found["shipped_on"] is not None:
        raise Refused(
            "order.shipped_already",
            f"This order was shipped {found['shipped_on']} already. If the day on which it is "
            "expected has changed, record the supplier’s new confirmation.",
        )


def _received(payload: Payload, found: Progress, ledger: Ledger) -> None:
    _lives(found, "Put the box aside and send it back; do not use it.")
    _agrees(found)
    _a_day_of_its_own(payload, "received_on", ledger)
    if found["stage"] == ARRIVED:
        raise Refused("order.arrived", "The lens of this order has arrived already.")


def _cancelled(payload: Payload, found: Progress, ledger: Ledger) -> None:
    """What a supplier has confirmed may be on its way: it is cancelled there first (I26)."""
    if ledger.is_used(payload["body"]["order"], payload["person"], payload["eye"]):
        raise Refused(
            "order.implanted",
            "The lens of this order was implanted. If that is an error, the record of the surgery "
            "is corrected or withdrawn first.",
        )
    promised = found["confirmations"] or found["shipped_on"] or found["received_on"]
    # Absent from cancellations of before there were confirmations.
    if promised and not payload["body"].get("supplier_reply"):
        raise Refused(
            "order.no_reply",
            "The supplier has confirmed or sent this order. Cancel it there first, then write what "
            "the supplier answered. The order still stands.",
            "supplier_reply",
        )


def _lives(found: Progress, what_now: str) -> None:
    if found["stage"] == "cancelled":
        raise Refused("order.cancelled", f"This order was cancelled. {what_now}")


def _agrees(found: Progress) -> None:
    if found["stage"] == "differs":
        raise Refused(
            "order.differs",
            "The supplier confirmed something else than was ordered. Put the box aside if it is "
            "here, and have the supplier correct the confirmation, or cancel the order.",
        )


def _a_day_of_its_own(payload: Payload, field: str, ledger: Ledger) -> None:
    """Refuse a day that is still to come, or from before the order was placed."""
    _not_to_come(payload, field)
    placed = json.loads(ledger.payload_of(payload["body"]["order"]))["wall"][:10]
    if date.fromisoformat(payload["body"][field]) < date.fromisoformat(placed) - A_DAY:
        raise Refused(
            "order.before_placed",
            f"This order was placed {placed}, and this day is before that. Read the paper again; "
            "it may be of another order.",
            field,
        )


def _soon_enough(payload: Payload) -> None:
    """Refuse a day of arrival so far off that no reminder would ever come."""
    expected = payload["body"]["expected_on"]
    if expected and date.fromisoformat(expected) > clock.utc_now().date() + A_YEAR:
        raise Refused(
            "order.far",
            "That is more than a year from now, and no reminder would come before it. Read the "
            "day again, or leave it out until the supplier gives a nearer one.",
            "expected_on",
        )


def _not_to_come(payload: Payload, field: str) -> None:
    if date.fromisoformat(payload["body"][field]) > (clock.utc_now() + A_DAY).date():
        raise Refused("order.future", "This day is still to come. Give the day it was.", field)


RULES: dict[str, Callable[[Payload, Progress, Ledger], None]] = {
    "order.referenced": _referenced,
    "order.confirmed": _confirmed,
    "order.shipped": _shipped,
    "order.received": _received,
    "order.cancelled": _cancelled,
}
