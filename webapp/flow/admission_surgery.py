"""The rules for surgeries and what is found after them: one lens in an eye, each serial once.

A follow-up names the surgery it was read after; nothing from before it, and nothing of another
eye, can come in under its name (invariants I20, I22).
"""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from webapp.flow import clock
from webapp.flow.ledger import Ledger
from webapp.flow.refusal import Refused
from webapp.flow.said import REMOVAL, SURGERY
from webapp.store.projections.implants import Surgery, serial_key

Payload = dict[str, Any]
APPROVALS = ("plan.approval", "exchange.decided")
A_DAY = timedelta(days=1)
"""Places on earth may be a day ahead of UTC or behind it."""


def check(payload: Payload, ledger: Ledger) -> None:
    """Refuse a surgery or a follow-up that does not fit what is stored."""
    if payload["kind"] == SURGERY:
        for rule in RULES:
            rule(payload, ledger)
    elif payload["kind"] == REMOVAL:
        _day(payload, ledger)
    elif payload["kind"].startswith("followup."):
        _followup(payload, ledger)


def _day(payload: Payload, ledger: Ledger) -> None:
    if date.fromisoformat(payload["body"]["operated"]) > (clock.utc_now() + A_DAY).date():
        raise Refused(
            "surgery.future", "The day of surgery is still to come. Give the day it was done.",
            "operated",
        )  # fmt: skip


def _named(payload: Payload, ledger: Ledger) -> None:
    for field, kinds in (("order", ("order.placed",)), ("approval", APPROVALS)):
        named = payload["body"][field]
        if named is None:
            continue
        fact = ledger.find(named, *kinds)
        if fact is None:
            raise Refused(f"{field}.unknown", f"The {field} that it names is not here yet.", field)
        mine = ledger.is_same_person(fact.person, payload["person"])
        if not (mine and fact.eye == payload["eye"]):
            raise Refused(f"{field}.other", f"The {field} is of another person or eye.", field)


def _order_once(payload: Payload, ledger: Ledger) -> None:
    """Refuse an order whose lens another surgery implanted: an order brings one lens."""
    order = payload["body"]["order"]
    for one in _standing(payload, ledger):
        if order is not None and one.order_id == order:
            raise Refused(
                "order.implanted",
                f"The lens of this order was implanted on {one.operated} by the records. Name the "
                "order that this lens came from, or leave it out.",
                "order",
            )


def _one_lens(payload: Payload, ledger: Ledger) -> None:
    """Refuse a second lens in an eye at one time, but for the one that this surgery took out.

    An older surgery may come after the record of a later one, whose author could not know of it. It
    is taken, and the fold says that the two contradict until somebody says how it came out.
    """
    before = ledger.surgeries.get(payload["replaces"] or "")
    named = payload["body"].get("explants")
    taken = None if named is None else ledger.standing_surgery(named)
    for one in _standing(payload, ledger):
        mine = ledger.is_same_person(one.person, payload["person"])
        if not mine or one.eye != payload["eye"] or one == taken:
            continue
        if _lies_beside(payload, before, one) and not _comes_late(payload, before, one):
            until = "" if one.out_on is None else f" and taken out {one.out_on}"
            raise Refused(
                "surgery.twice",
                f"A lens is recorded in this eye already, implanted {one.operated}{until}. Correct "
                "that record, or have its author withdraw it first; or, if it was taken out, say "
                "so and name it.",
            )


def _lies_beside(payload: Payload, before: Surgery | None, other: Surgery) -> bool:
    """Say whether a lens would lie in its eye together with another one, by their days."""
    day: str = payload["body"]["operated"]
    # What the corrected record took out lies in the eye again until this one says otherwise.
    other_out = None if before and other.out_by == before.surgery_id else other.out_on
    mine_out = None if before is None else before.out_on
    is_over = other_out is not None and other_out <= day
    return not is_over and not (mine_out is not None and mine_out <= other.operated)


def _comes_late(payload: Payload, before: Surgery | None, other: Surgery) -> bool:
    """Say whether a surgery is older than the one that is here; a correction makes none older."""
    days = [payload["body"]["operated"], *([before.operated] if before else [])]
    return bool(max(days) < other.operated)


def _serial_once(payload: Payload, ledger: Ledger) -> None:
    serial = serial_key(payload["body"]["serial"])
    if serial and any(one.serial == serial for one in _standing(payload, ledger)):
        raise Refused(
            "surgery.serial",
            "A lens with this serial number is recorded as implanted already, in another eye or "
            "taken out of this one. Read the label again, character by character.",
            "serial",
        )


def _standing(payload: Payload, ledger: Ledger) -> list[Surgery]:
    """Return the surgeries that stand, without the one that this record corrects."""
    return [
        one
        for one in ledger.surgeries.values()
        if one.live and one.surgery_id != payload["replaces"]
    ]


def _followup(payload: Payload, ledger: Ledger) -> None:
    surgery = ledger.surgeries.get(payload["body"]["implant"])
    if surgery is None:
        raise Refused(
            "implant.unknown", "The surgery that this was read after is not here yet.", "implant"
        )
    mine = ledger.is_same_person(surgery.person, payload["person"])
    if not mine or surgery.eye != payload["eye"]:
        raise Refused(
            "implant.other", "The surgery that it names is of another person or eye.", "implant"
        )
    if not surgery.live and not _is_corrected(surgery, ledger):
        raise Refused(
            "implant.withdrawn",
            "The surgery that this was read after was withdrawn. Ask whoever recorded it.",
            "implant",
        )
    taken = date.fromisoformat(payload["body"]["taken"][:10])
    now = ledger.standing_surgery(surgery.surgery_id)
    if now is not None and now.out_on and taken > date.fromisoformat(now.out_on) + A_DAY:
        raise Refused(
            "implant.out",
            f"That lens was taken out on {now.out_on}, before this was read. Open the eye again, "
            "and enter it with the lens that lies in it now.",
            "implant",
        )
    if taken < _first_day(surgery):
        raise Refused(
            "followup.early",
            f"It was taken before the surgery of {surgery.operated}. A reading from before surgery "
            "is entered as one; check the clock of the device.",
            "taken",
        )


def _is_corrected(surgery: Surgery, ledger: Ledger) -> bool:
    """Say whether a surgery gave way to a correction of itself, and not both to a withdrawal."""
    stands = ledger.standing_surgery(surgery.surgery_id) is not None
    return stands and ledger.is_corrected(surgery.surgery_id)


def _first_day(surgery: Surgery) -> date:
    """Return the first day, by UTC, on which something can be read after a surgery."""
    return date.fromisoformat(surgery.operated) - A_DAY


RULES: tuple[Callable[[Payload, Ledger], None], ...] = (
    _day,
    _named,
    _order_once,
    _one_lens,
    _serial_once,
)
