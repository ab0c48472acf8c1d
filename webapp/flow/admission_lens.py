"""The rules for taking a lens out of an eye: with another one in its place, or without.

A second surgery names the lens that it took out, which must lie in the eye by the records; the
serial number taken out is the recorded one, or somebody writes why not (I20). A lens that was taken
out is never implanted again, and nothing is withdrawn or moved so that two lenses, or two orders,
would stand for one eye (I2).
"""

from typing import Any

from webapp.flow.ledger import Ledger
from webapp.flow.refusal import Refused
from webapp.flow.said import REMOVAL, SURGERY, taken_out_by
from webapp.records.envelope import Record
from webapp.store.projections.implants import Surgery, serial_key

Payload = dict[str, Any]
FIELDS = {SURGERY: ("explants", "explanted_serial", "explanted_reason"),
          REMOVAL: ("implant", "serial", "serial_reason")}  # fmt: skip

TOGETHER = "E1.two_lenses"
"""Code of the finding that two lenses lie in one eye at one time."""


def check(record: Record, ledger: Ledger) -> None:
    """Refuse a lens taken out that does not fit, and what would leave two where one can be."""
    payload = record.payload
    if payload["kind"] in FIELDS and taken_out_by(payload) is not None:
        _out(payload, ledger)
    if payload["kind"] == SURGERY:
        _as_decided(payload, ledger)
    if payload["kind"] == "record.void" or (payload["kind"] in FIELDS and payload["replaces"]):
        _one_lens_left(record, ledger)
        _one_order_left(payload, ledger)


def _out(payload: Payload, ledger: Ledger) -> None:
    field, serial_field, reason_field = FIELDS[payload["kind"]]
    lens = ledger.standing_surgery(str(taken_out_by(payload)))
    body = payload["body"]
    if lens is None:
        raise Refused(
            f"{field}.unknown", "The surgery of the lens taken out is not here yet.", field
        )
    if not ledger.is_same_person(lens.person, payload["person"]) or lens.eye != payload["eye"]:
        raise Refused(f"{field}.other", "The lens taken out is of another person or eye.", field)
    if lens.surgery_id == payload["replaces"]:
        raise Refused(
            f"{field}.itself",
            "A lens does not take its own place. Name the lens that lay in the eye before, or "
            "leave it out.",
            field,
        )
    if lens.out_by not in (None, payload["replaces"]):
        raise Refused(
            f"{field}.out",
            f"That lens was taken out already, on {lens.out_on}. Read the eye again, and name the "
            "lens that lies in it.",
            field,
        )
    if body["operated"] < lens.operated:
        raise Refused(
            f"{field}.early",
            f"It is said to have been taken out before it was implanted on {lens.operated}. Check "
            "both days.",
            "operated",
        )
    _serial(body, lens, serial_field, reason_field)


def _serial(body: Payload, lens: Surgery, field: str, reason: str) -> None:
    """Refuse a serial number taken out that is not the recorded one, unless it is written why."""
    if lens.serial is None or body.get(reason) or serial_key(body.get(field)) == lens.serial:
        return
    was = "was not read" if body.get(field) is None else "is not the one recorded at its surgery"
    raise Refused(
        "explanted.serial",
        f"The serial number of the lens taken out {was}. Read the lens and the card again; if it "
        "stays so, write why.",
        field,
    )


def _as_decided(payload: Payload, ledger: Ledger) -> None:
    """Refuse a lens from an order for an exchange that took another lens out than was decided."""
    order = payload["body"]["order"]
    if order is None or ledger.find(order, "order.placed") is None:
        return
    approval = ledger.body_of(order)["approval"]
    if ledger.kind_of(approval) != "exchange.decided":
        return
    decided = ledger.body_of(approval)["implant"]
    meant = ledger.standing_surgery(decided)
    named = payload["body"].get("explants")
    if named is None or meant is None or ledger.standing_surgery(named) != meant:
        raise Refused(
            "explants.not_decided",
            "This lens was ordered for an exchange. Name the lens that was to be taken out, as the "
            "order says.",
            "explants",
        )


def _one_lens_left(record: Record, ledger: Ledger) -> None:
    """Refuse a withdrawal or correction after which two lenses would lie in one eye."""
    payload = record.payload
    target = payload["replaces"] or payload["body"].get("target")
    if ledger.find(target, SURGERY, REMOVAL) is None:
        return
    if _contradict(payload, ledger, record) and not _contradict(payload, ledger):
        raise Refused(
            "surgery.linked",
            "Then two lenses would lie in this eye together by the records: a later surgery took "
            "this one's place. Withdraw the later record first, or correct it.",
        )
    gone = ledger.standing_surgery(target)
    if payload["kind"] == "record.void" and gone is not None and gone.out_by is not None:
        raise Refused(
            "surgery.linked",
            "A later record says that this lens was taken out. Withdraw that one first.",
        )


def _contradict(payload: Payload, ledger: Ledger, *more: Record) -> bool:
    """Say whether the lenses of an eye lie in it together, once more records count."""
    eye = ledger.fold_of(payload["person"], *more)["eyes"][payload["eye"]]
    return any(one["code"] == TOGETHER for one in eye["findings"])


def _one_order_left(payload: Payload, ledger: Ledger) -> None:
    """Refuse to take a surgery from an order while another order of the eye stands (I2)."""
    target = payload["replaces"] or payload["body"].get("target")
    gone = ledger.surgeries.get(target or "")
    if gone is None or gone.order_id is None or payload["body"].get("order") == gone.order_id:
        return
    if ledger.has_live_order(payload["person"], gone.eye):
        raise Refused(
            "order.twice",
            "Then two orders would stand for this eye. Cancel the later one at the supplier and "
            "here, then do this again.",
        )
