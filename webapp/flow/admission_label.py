"""The rules for a checked lens box: of this eye's order, as the core computes it, a lens once."""

from typing import Any

from webapp.flow import box_comparison, permissions
from webapp.flow.box_comparison import BadInput
from webapp.flow.ledger import Ledger
from webapp.flow.refusal import Refused
from webapp.flow.said import lens_taken
from webapp.store.projections.implants import serial_key
from webapp.store.projections.label_checks import LabelCheck

Payload = dict[str, Any]


def check(record_id: str, payload: Payload, ledger: Ledger) -> None:
    """Refuse a check that does not hold; whether its order lives is the fold's to say."""
    if payload["kind"] != "label.checked":
        return
    order = _ordered(payload, ledger)
    _second_person(payload, ledger)
    for seen in payload["body"]["seen"]:
        fact = ledger.find(seen, "label.checked", "theatre.checked")
        if fact is None or (fact.person, fact.eye) != (payload["person"], payload["eye"]):
            raise Refused("seen.unknown", "An earlier check that it has seen is not here.")
    try:
        answer = box_comparison.of_record(order, payload)
    except BadInput as problem:
        raise Refused("label.unreadable", problem.message, problem.field) from None
    gtin = answer["code"]["gtin"] if answer["code"] else None
    if (answer["outcome"], gtin) != (payload["body"]["outcome"], payload["body"]["gtin"]):
        raise Refused(
            "label.outcome",
            "The record says otherwise of this box than the calculation here. Check the box again.",
        )
    if answer["outcome"] == "agrees":
        _lens_once(lens_taken(record_id, payload), ledger)
        _not_implanted(payload, ledger)


def _ordered(payload: Payload, ledger: Ledger) -> box_comparison.Ordered:
    """Return what was ordered by the order that a check names, of the same person and eye."""
    order = ledger.find(payload["body"]["order"], "order.placed")
    if order is None:
        raise Refused("order.unknown", "The order that this check names is not here yet.")
    if (order.person, order.eye) != (payload["person"], payload["eye"]):
        raise Refused("order.other", "The order is of another person or eye. Do not implant.")
    return box_comparison.ordered(order.id, ledger.payload_of)


def _second_person(payload: Payload, ledger: Ledger) -> None:
    """Refuse a second person who may not read boxes at this site."""
    second, site = payload["body"]["second_person"], payload["site"]
    if second is None:
        return
    if not any(
        user == second and permissions.covers("box.read_again", role, at, site)
        for user, role, at in ledger.roles
    ):
        raise Refused(
            "label.second", "The second person holds no role at this site.", "second_person"
        )


def _not_implanted(payload: Payload, ledger: Ledger) -> None:
    serial = serial_key(payload["body"]["first"]["serial"])
    if ledger.is_implanted_elsewhere(serial, payload["person"], payload["eye"]):
        raise Refused(
            "label.implanted",
            "A lens with this serial number is recorded as implanted in another eye. Do not "
            "implant; read the label again, and ask the supplier.",
            "serial",
        )


def _lens_once(lens: LabelCheck, ledger: Ledger) -> None:
    if any(
        one.order_id != lens.order_id and one.is_same_lens(lens)
        for one in ledger.checks_with(lens.serial)
    ):
        raise Refused(
            "label.serial",
            "A lens with this serial number was taken for another order already. Do not implant; "
            "find out which eye this box was ordered for.",
            "serial",
        )
