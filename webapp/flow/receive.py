"""Receiving records from phones: verified outside the transaction, judged and stored inside it.

One transaction holds the whole batch, since a key's chain may run across sites. A genuine record
that breaks a rule is kept apart in quarantine and takes its place in its key's chain, so that the
records after it still follow; offered again when the cause is put right, it is judged again.
"""

from typing import NamedTuple

from webapp.flow import admission, clock, storing
from webapp.flow.actor import Actor
from webapp.flow.ledger import Ledger
from webapp.flow.opening import Opened, open_all
from webapp.flow.refusal import Refused
from webapp.records.envelope import Record
from webapp.store import devices, journal, quarantine
from webapp.store.database import writing

LARGEST_BATCH = 200


class Receipt(NamedTuple):
    """What became of one record."""

    id: str
    result: str
    """``stored``, ``known`` or ``refused``."""
    n: int | None
    """The record's number at its site, None when refused."""
    reason: Refused | None


class _Batch:
    """The outcome of judging a batch, in order."""

    def __init__(self) -> None:
        self.outcomes: list[tuple[str, str, Refused | None]] = []
        """Id, result and refusal of each record, in order."""
        self.stored: dict[str, Record] = {}
        self.quarantined: dict[str, tuple[Record, Refused]] = {}


def push(actor: Actor, envelopes: list[object]) -> list[Receipt]:
    """Store what may be stored of a batch and return one receipt for each record, in order.

    Raises:
        Refused: the batch is too large; nothing of it was looked at.
    """
    if len(envelopes) > LARGEST_BATCH:
        raise Refused("request.bad", f"Send at most {LARGEST_BATCH} records at once.")
    opened = open_all(envelopes)
    genuine = [one.record for one in opened if one.record]
    with writing():
        ledger = Ledger(genuine)
        known_before = set(ledger.known)
        batch = _judge(opened, actor, ledger)
        numbers = _keep(batch, ledger)
        numbers |= journal.numbers_of(known_before)
        _note_devices(opened, actor)
    return [
        Receipt(found_id, result, None if why else numbers[found_id], why)
        for found_id, result, why in batch.outcomes
    ]


def _judge(opened: list[Opened], actor: Actor, ledger: Ledger) -> _Batch:
    batch = _Batch()
    for one in opened:
        try:
            batch.outcomes.append((one.id, _judge_one(one, actor, ledger, batch), None))
        except Refused as refusal:
            batch.outcomes.append((one.id, "refused", refusal))
    return batch


def _judge_one(one: Opened, actor: Actor, ledger: Ledger, batch: _Batch) -> str:
    """Admit one record and say how, or raise why not; a genuine one is then quarantined."""
    if one.record is None or one.device is None:
        raise one.refusal or Refused("record.bad", "The record could not be read.")
    if one.id in ledger.known:
        return "known"
    admission.check_place(one.record, ledger)
    # The chain does not move back for a record whose place was taken when it was first refused.
    if one.id not in ledger.waiting:
        ledger.take_place(one.record)
    try:
        if one.refusal:
            raise one.refusal
        admission.check_rules(one.record, one.device, actor, ledger)
    except Refused as refusal:
        batch.quarantined[one.id] = (one.record, refusal)
        ledger.waiting.add(one.id)
        raise
    batch.stored[one.id] = one.record
    batch.quarantined.pop(one.id, None)
    ledger.add(one.record)
    return "stored"


def _keep(batch: _Batch, ledger: Ledger) -> dict[str, int]:
    now = clock.instant()
    numbers = storing.store(list(batch.stored.values()), ledger.moved, now)
    if released := ledger.waiting & batch.stored.keys():
        quarantine.release(released)
    quarantine.keep([_refused_row(record, why, now) for record, why in batch.quarantined.values()])
    return numbers


def _refused_row(record: Record, refusal: Refused, now: str) -> dict[str, object]:
    return {
        "id": record.id,
        "kid": record.kid,
        "seq": record.payload["seq"],
        "code": refusal.code,
        "message": refusal.message,
        "payload": record.payload_bytes,
        "signature": record.signature,
        "received_at": now,
    }


def _note_devices(opened: list[Opened], actor: Actor) -> None:
    own = {one.device.kid for one in opened if one.device and one.device.user == actor.user_id}
    if own:
        devices.heard_from(own, clock.instant())
