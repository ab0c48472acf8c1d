"""The rules for theatre: a day's list, a check, a second person's confirmation, boxes put aside.

A check is computed again from what it names alone. Whether its box is released at this moment is
the fold's to say: a check that was made without network must not be lost to what came meanwhile.
"""

import json
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from webapp.core.dates import day_words
from webapp.flow import box_comparison, clock
from webapp.flow.box_comparison import BadInput, Ordered
from webapp.flow.ledger import Ledger
from webapp.flow.refusal import Refused
from webapp.records.envelope import Record
from webapp.store.journal import Fact
from webapp.store.projections.implants import serial_key

Payload = dict[str, Any]
A_DAY = timedelta(days=1)
"""Places on earth may be a day ahead of UTC or behind it."""


def check(record: Record, ledger: Ledger) -> None:
    """Refuse a record of theatre, or a surgery by its check there, that does not fit."""
    payload = record.payload
    rule = RULES.get(payload["kind"])
    if rule is not None:
        rule(payload, ledger)
    if payload["kind"] == "surgery.implanted" and payload["body"].get("theatre_check"):
        _surgery(record, ledger)


def _listed(payload: Payload, ledger: Ledger) -> None:
    body = payload["body"]
    _named(payload, ledger, "order", "order.placed")
    # By the desk's clock as it signed: after a restore a list of long ago comes back as it was.
    if date.fromisoformat(body["operate_on"]) < date.fromisoformat(payload["wall"][:10]) - A_DAY:
        raise Refused("theatre.past", "That day is over. Give the day of the list.", "operate_on")
    theatre = ledger.fold_of(payload["person"])["eyes"][payload["eye"]]["theatre"]
    if theatre is None or theatre["order"] != body["order"]:
        raise Refused("theatre.no_order", "That order does not stand. Nothing is put on a list.")
    listed = theatre["listed"]
    if listed is not None and listed["id"] != payload["replaces"]:
        raise Refused(
            "theatre.listed_twice",
            f"This eye is on the list of {day_words(listed['operate_on'])} already. Move it from "
            "there.",
        )


def _checked(payload: Payload, ledger: Ledger) -> None:
    body = payload["body"]
    order = _named(payload, ledger, "order", "order.placed")
    if body["label"] is not None:
        label = _named(payload, ledger, "label", "label.checked")
        if ledger.body_of(label.id)["order"] != body["order"]:
            raise Refused("label.other", "That box was checked for another order.", "label")
    if body["outcome"] == "not_implanted":
        return
    ordered, box = box_comparison.ordered(order.id, ledger.payload_of), ledger.body_of(label.id)
    if body["outcome"] not in _outcomes(ordered, box, payload):
        raise Refused(
            "theatre.outcome",
            "The record says otherwise of this box than the calculation here. Check the box again.",
        )
    if body["outcome"] == "agrees":
        _serial_free(box["first"]["serial"], payload, ledger)


def _outcomes(ordered: Ordered, box: Payload, payload: Payload) -> set[str]:
    """Return what a record may say of a box: by the clocks of its day, or that it differs by ours.

    A tablet whose clocks are set back stops by what it had heard from here, which no field tells.
    """
    try:
        own = box_comparison.of_theatre(ordered, box, payload)["outcome"]
        here = box_comparison.of_theatre(ordered, box, payload, clock.today())["outcome"]
    except BadInput as problem:
        raise Refused("theatre.unreadable", problem.message, problem.field) from None
    claimed = "differs" if box["outcome"] != "agrees" else own
    return {claimed} | ({here} & {"differs"})


def _serial_free(serial: str, payload: Payload, ledger: Ledger) -> None:
    """Refuse a lens that is recorded as implanted in another eye (invariant I20)."""
    if ledger.is_implanted_elsewhere(serial_key(serial), payload["person"], payload["eye"]):
        raise Refused(
            "theatre.serial",
            "A lens with this serial number is recorded as implanted in another eye. Do not "
            "implant; find out which eye this box was ordered for.",
        )


def _surgery(record: Record, ledger: Ledger) -> None:
    """Refuse a check in theatre that is not of this lens, order and day (invariant I21).

    A surgery without one is taken as it is: what was done is never refused for what was not.
    """
    payload = record.payload
    _named(payload, ledger, "theatre_check", "theatre.checked")
    eye = ledger.fold_of(payload["person"], record)["eyes"][payload["eye"]]
    for one in eye["surgeries"]:
        wrong = one["unchecked"] if one["id"] == record.id else None
        if wrong is not None and wrong["field"] is not None:
            raise Refused(
                "surgery.check",
                f"{wrong['text']} Name the check of this lens, or leave it out and "
                "write why there was none.",
                wrong["field"],
            )


def _confirmed(payload: Payload, ledger: Ledger) -> None:
    body = payload["body"]
    checked = _named(payload, ledger, "check", "theatre.checked")
    said = json.loads(ledger.payload_of(checked.id))
    if said["author"] == payload["author"] or said["key"] == payload["key"]:
        raise Refused(
            "theatre.same_person",
            "The second person must be somebody else than the first, with their own passphrase.",
        )
    if said["body"]["outcome"] != "agrees":
        raise Refused("theatre.not_agreed", "That check did not agree. Nothing is confirmed by it.")
    order = ledger.find(said["body"]["order"], "order.placed")
    is_toric = order is not None and ledger.body_of(order.id)["lens"]["axis_deg"] is not None
    if is_toric != (body["axis_said"] == 1):
        raise Refused(
            "theatre.axis",
            "The axis is said aloud for a lens with a cylinder, and for no other.",
            "axis_said",
        )


def _put_aside(payload: Payload, ledger: Ledger) -> None:
    _named(payload, ledger, "order", "order.placed")


def _answered(payload: Payload, ledger: Ledger) -> None:
    """Refuse an answer about a box that was not put aside, or that was answered already."""
    fact = _named(payload, ledger, "aside", "box.put_aside", "theatre.checked")
    eye = ledger.fold_of(payload["person"])["eyes"][payload["eye"]]
    (found,) = [one for one in eye["aside"] if one["id"] == fact.id] or [None]
    if found is None or found["answer"] is not None:
        raise Refused(
            "aside.answered",
            "That box is not put aside any more: somebody said what became of it. Look again.",
        )


def _named(payload: Payload, ledger: Ledger, field: str, *kinds: str) -> Fact:
    """Return the record that a field names, which must be of the same person and eye (I16)."""
    found = [ledger.find(payload["body"][field], kind) for kind in kinds]
    fact, title = next((one for one in found if one is not None), None), NAMES[field]
    if fact is None:
        raise Refused(f"{field}.unknown", f"The {title} that it names is not here yet.", field)
    mine = ledger.is_same_person(fact.person, payload["person"])
    if not (mine and fact.eye == payload["eye"]):
        raise Refused(
            f"{field}.other", f"The {title} is of another person or eye. Do not implant.", field
        )
    return fact


NAMES = {
    "order": "order",
    "label": "check of the box",
    "check": "check in theatre",
    "theatre_check": "check in theatre",
    "aside": "box that was put aside",
}
RULES: dict[str, Callable[[Payload, Ledger], None]] = {
    "theatre.listed": _listed,
    "theatre.checked": _checked,
    "theatre.confirmed": _confirmed,
    "box.put_aside": _put_aside,
    "box.answered": _answered,
}
