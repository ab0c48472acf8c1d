"""Making a record at the desk: signed by the desk key, in the name of the person signed in."""

import json
from typing import Any, NamedTuple

from webapp.flow import admission, clock, judging_again, storing
from webapp.flow.actor import Actor
from webapp.flow.desk_key import desk_key
from webapp.flow.ledger import Ledger
from webapp.flow.refusal import Refused
from webapp.records.draft import NO_CORRECTION, Correction, Link, Subject, Writer, draft
from webapp.records.envelope import Record, open_envelope, seal
from webapp.records.errors import BadRecord
from webapp.records.kinds import Payload
from webapp.store import chains, devices
from webapp.store.journal import Entry


class Draft(NamedTuple):
    """What the person at the desk says."""

    kind: str
    subject: Subject
    role: str
    body: dict[str, Any]
    correction: Correction = NO_CORRECTION


def write(actor: Actor, said: Draft) -> str:
    """Sign, judge and store one record and return its id; call inside ``writing()``.

    Raises:
        Refused: a rule does not allow it; nothing was stored.
    """
    key = desk_key()
    seq, newest = chains.heads([key.kid]).get(key.kid, (0, None))
    try:
        payload = draft(
            said.kind, said.subject, Writer(actor.user_id, said.role),
            Link(key.kid, seq + 1, newest), clock.instant(), said.body, said.correction,
        )  # fmt: skip
        record = open_envelope(seal(payload, key))
    except BadRecord as bad:
        raise Refused("record.bad", bad.message, bad.field) from bad
    _store(record, actor)
    return record.id


def _store(record: Record, actor: Actor) -> None:
    device = devices.find(record.kid)
    if device is None:
        raise Refused("desk.key", "The desk's key is not enrolled in this database.")
    ledger = Ledger([record])
    admission.check_rules(record, device, actor, ledger)
    ledger.take_place(record)
    storing.store([record], ledger.moved, clock.instant())
    judging_again.after([record], ledger.moved)


def payload_of(entry: Entry) -> Payload:
    """Return what a stored record says."""
    payload: Payload = json.loads(entry.payload)
    return payload
