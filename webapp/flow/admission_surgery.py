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
from webapp.store.projections.implants import Surgery, serial_key

Payload = dict[str, Any]
A_DAY = timedelta(days=1)
"""Places on earth may be a day ahead of UTC or behind it."""


def check(payload: Payload, ledger: Ledger) -> None:
    """Refuse a surgery or a follow-up that does not fit what is stored."""
    if payload["kind"] == "surgery.implanted":
        for rule in RULES:
            rule(payload, ledger)
    elif payload["kind"].startswith("followup."):
        _followup(payload, ledger)


def _day(payload: Payload, ledger: Ledger) -> None:
    if date.fromisoformat(payload["body"]["operated"]) > (clock.utc_now() + A_DAY).date():
        raise Refused(
            "surgery.future", "The day of surgery is still to come. Give the day it was done.",
            "operated",
        )  # fmt: skip


def _named(payload: Payload, ledger: Ledger) -> None:
    for field, kind in (("order", "order.placed"), ("approval", "plan.approval")):
        named = payload["body"][field]
        if named is None:
            continue
        fact = ledger.find(named, kind)
        if fact is None:
            raise Refused(f"{field}.unknown", f"The {field} that it names is not here yet.", field)
        mine = ledger.is_same_person(fact.person, payload["person"])
        if not (mine and fact.eye == payload["eye"]):
            raise Refused(f"{field}.other", f"The {field} is of another person or eye.", field)


def _one_lens(payload: Payload, ledger: Ledger) -> None:
    for standing in _standing(payload, ledger):
        mine = ledger.is_same_person(standing.person, payload["person"])
        if mine and standing.eye == payload["eye"]:
            raise Refused(
                "surgery.twice",
                f"A lens is recorded in this eye already, implanted {standing.operated}. Correct "
                "that record, or have its author withdraw it first.",
            )


def _serial_once(payload: Payload, ledger: Ledger) -> None:
    serial = serial_key(payload["body"]["serial"])
    if serial and any(one.serial == serial for one in _standing(payload, ledger)):
        raise Refused(
            "surgery.serial",
            "A lens with this serial number is recorded as implanted already, in another eye. "
            "Read the label again, character by character.",
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
    if date.fromisoformat(payload["body"]["taken"][:10]) < _first_day(surgery):
        raise Refused(
            "followup.early",
            f"It was taken before the surgery of {surgery.operated}. A reading from before surgery "
            "is entered as one; check the clock of the device.",
            "taken",
        )


def _is_corrected(surgery: Surgery, ledger: Ledger) -> bool:
    """Say whether a surgery gave way to a correction of itself, and not both to a withdrawal."""
    eye = (surgery.person, surgery.eye)
    stands = any(one.live and (one.person, one.eye) == eye for one in ledger.surgeries.values())
    return stands and ledger.is_corrected(surgery.surgery_id)


def _first_day(surgery: Surgery) -> date:
    """Return the first day, by UTC, on which something can be read after a surgery."""
    return date.fromisoformat(surgery.operated) - A_DAY


RULES: tuple[Callable[[Payload, Ledger], None], ...] = (_day, _named, _one_lens, _serial_once)
