"""A phone's encrypted outbox as a file: opened with the recovery key, taken in as the phone's push.

Each record is pushed for the person whose key signed it, through the same door as over the network:
it is verified, judged by the roles held now, and stored once however often the file is brought.
"""

from itertools import groupby
from typing import NamedTuple

import msgspec

from webapp.flow import accounts, receive
from webapp.flow.refusal import Refused
from webapp.records.envelope import from_base64url
from webapp.records.errors import BadRecord
from webapp.records.recovery import RecoveryKey, open_box
from webapp.records.signing import key_id
from webapp.store import devices


class SealedRecord(msgspec.Struct, forbid_unknown_fields=True):
    """One record as the phone keeps it."""

    id: str
    kid: str
    seq: int
    iv: str
    box: str


class WrappedKey(msgspec.Struct, forbid_unknown_fields=True):
    """The phone's data key, wrapped to the recovery key of this name."""

    name: str
    data_key: str


class OutboxFile(msgspec.Struct, forbid_unknown_fields=True):
    """What a phone exports."""

    lampside_outbox: int
    made: str
    recovery: WrappedKey
    records: list[SealedRecord]


class Payload(msgspec.Struct, forbid_unknown_fields=True):
    """What a box holds: the payload's bytes and the signature."""

    p: str
    sig: str


class Envelope(NamedTuple):
    """One opened record, ready to be pushed."""

    id: str
    kid: str
    p: str
    sig: str


def opened(content: bytes, key: RecoveryKey) -> list[Envelope]:
    """Return the records of a file in the order they were made.

    Raises:
        Refused: the file is not one, was changed, or was wrapped to another recovery key. Nothing
            of it is used then.
    """
    try:
        file = msgspec.json.decode(content, type=OutboxFile)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
        raise Refused("outbox_file.bad", "This is not an outbox file of a phone.") from error
    if file.lampside_outbox != 1:
        raise Refused("outbox_file.version", "This outbox file needs a newer version of Lampside.")
    if file.recovery.name != key.name:
        raise Refused(
            "outbox_file.other_key",
            f"The file opens with the recovery key {file.recovery.name[:12]}; "
            f"this one is {key.name[:12]}.",
        )
    try:
        data_key = key.data_key(from_base64url(file.recovery.data_key, "data_key"))
        return [_open(record, data_key) for record in file.records]
    except (BadRecord, msgspec.DecodeError) as error:
        raise Refused("outbox_file.changed", f"Nothing was taken in. {error}") from error


def push(envelopes: list[Envelope]) -> list[receive.Receipt]:
    """Take the records in, each for its own author, and return their receipts.

    Raises:
        Refused: a record was signed by a key that was never enrolled here.
    """
    known = devices.among({one.kid for one in envelopes}) if envelopes else {}
    receipts: list[receive.Receipt] = []
    for kid, chain in groupby(envelopes, lambda one: one.kid):
        device = known.get(kid)
        actor = accounts.actor_of(device.user) if device else None
        if actor is None:
            raise Refused("key.unknown", f"The key {kid[:12]} was never enrolled at this base.")
        batch: list[object] = [{"p": one.p, "kid": one.kid, "sig": one.sig} for one in chain]
        for at in range(0, len(batch), receive.LARGEST_BATCH):
            receipts += receive.push(actor, batch[at : at + receive.LARGEST_BATCH])
    return receipts


def _open(record: SealedRecord, data_key: bytes) -> Envelope:
    iv, box = from_base64url(record.iv, "iv"), from_base64url(record.box, "box")
    content = open_box(data_key, f"records/{record.id}", iv, box)
    said = msgspec.json.decode(content, type=Payload)
    # The id of a record is the SHA-256 of its payload, as that of a key is of its own bytes.
    if key_id(from_base64url(said.p, "p")) != record.id:
        raise BadRecord("id", "A record in the file is not the one it is named as.")
    return Envelope(record.id, record.kid, said.p, said.sig)
