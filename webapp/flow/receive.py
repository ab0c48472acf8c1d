"""Receiving records from phones: verified outside the transaction, judged and stored inside it.

One transaction holds the whole batch, since a key's chain may run across sites. A genuine record
that breaks a rule is kept apart in quarantine and takes its place in its key's chain, so that the
records after it still follow; offered again when the cause is put right, it is judged again.
"""

from typing import NamedTuple

from webapp.flow import clock, judging, judging_again
from webapp.flow.actor import Actor
from webapp.flow.ledger import Ledger
from webapp.flow.opening import Opened, open_all
from webapp.flow.refusal import Refused
from webapp.store import devices, journal
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
        batch = judging.judge(opened, actor, ledger)
        numbers = judging.keep(batch, ledger)
        numbers |= journal.numbers_of(known_before)
        judging_again.after(batch.stored.values(), ledger.moved)
        _note_devices(opened, actor)
    return [
        Receipt(found_id, result, None if why else numbers[found_id], why)
        for found_id, result, why in batch.outcomes
    ]


def _note_devices(opened: list[Opened], actor: Actor) -> None:
    own = {one.device.kid for one in opened if one.device and one.device.user == actor.user_id}
    if own:
        devices.heard_from(own, clock.instant())
