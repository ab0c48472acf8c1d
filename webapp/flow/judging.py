"""Judging genuine records one by one: stored, or kept apart with the reason.

What phones push goes through here, and so does what waited when a gap is declared or a surgeon
adopts it. Everything runs inside one transaction, on the ledger of the records it is about.
"""

from webapp.flow import admission, clock, storing
from webapp.flow.actor import Actor
from webapp.flow.ledger import Ledger
from webapp.flow.opening import Opened
from webapp.flow.refusal import Refused
from webapp.records.envelope import Record
from webapp.store import quarantine
from webapp.store.devices import Device

Outcome = tuple[str, str, Refused | None]
"""Id, result and refusal of one record."""

DECIDED = "quarantine.left"
"""The one refusal that changes nothing about what is kept apart, once that has its place."""


class Batch:
    """The outcome of judging some records, in order."""

    def __init__(self) -> None:
        self.outcomes: list[Outcome] = []
        self.stored: dict[str, Record] = {}
        self.kept_apart: dict[str, tuple[Record, Refused]] = {}


def judge(opened: list[Opened], carrier: Actor | None, ledger: Ledger) -> Batch:
    """Judge records in order; none of them can stop the others.

    Args:
        opened: what was opened, each with its refusal if its form is wrong.
        carrier: who hands them in; None for what the base has kept itself.
        ledger: what this transaction knows; it learns of each admitted record.
    """
    batch = Batch()
    for one in opened:
        try:
            batch.outcomes.append((one.id, _judge_one(one, carrier, ledger, batch), None))
        except Refused as refusal:
            batch.outcomes.append((one.id, "refused", refusal))
    return batch


def keep(batch: Batch, ledger: Ledger) -> dict[str, int]:
    """Store what was admitted, keep apart what was not, and return id -> number at its site."""
    now = clock.instant()
    numbers = storing.store(list(batch.stored.values()), ledger.moved, now)
    if released := ledger.apart & batch.stored.keys():
        quarantine.release(released)
    rows = [
        _row(record, why, ledger.has_place(record), now)
        for record, why in batch.kept_apart.values()
    ]
    quarantine.keep(rows)
    return numbers


def _judge_one(one: Opened, carrier: Actor | None, ledger: Ledger, batch: Batch) -> str:
    """Admit one record and say how, or raise why not; a genuine one is then kept apart."""
    if one.record is None or one.device is None:
        raise one.refusal or Refused("record.bad", "The record could not be read.")
    if one.id in ledger.known:
        return "known"
    had_place = ledger.has_place(one.record)
    try:
        _admit(one.record, one.device, one.refusal, carrier, ledger)
    except Refused as refusal:
        if refusal.code != DECIDED or not had_place:
            batch.kept_apart[one.id] = (one.record, refusal)
            ledger.apart.add(one.id)
        raise
    batch.stored[one.id] = one.record
    batch.kept_apart.pop(one.id, None)
    ledger.add(one.record)
    return "stored"


def _admit(
    record: Record, device: Device, refusal: Refused | None, carrier: Actor | None, ledger: Ledger
) -> None:
    """Raise why this record may not be stored; its place in its chain it takes all the same."""
    # The chain does not move back for a record whose place was taken when it was first refused.
    if not ledger.has_place(record) and admission.takes_place(record, ledger):
        ledger.take_place(record)
    if ledger.decided.get(record.id) == "leave":
        raise Refused(
            DECIDED,
            "A surgeon decided to leave this record apart; why stands at the desk, under Kept "
            "apart. Withdraw it here, or enter it again.",
        )
    if refusal:
        raise refusal
    admission.check_rules(record, device, carrier, ledger)


def _row(record: Record, refusal: Refused, has_place: bool, now: str) -> dict[str, object]:
    return {
        "id": record.id,
        "kid": record.kid,
        "seq": record.payload["seq"],
        "prev": record.payload["prev"],
        "has_place": int(has_place),
        "code": refusal.code,
        "message": refusal.message,
        "payload": record.payload_bytes,
        "signature": record.signature,
        "received_at": now,
    }
