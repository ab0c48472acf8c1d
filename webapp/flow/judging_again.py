"""Judging again what waits apart, once something came that may let it in.

An earlier record of the same key, a gap declared in its chain, a surgeon's decision to adopt it:
each can arrive before or after what it lets in, from a desk or given back after a restore.
"""

from collections.abc import Iterable

from webapp.flow import admission_key, judging
from webapp.flow.ledger import Ledger
from webapp.flow.opening import open_all
from webapp.records.envelope import Record, to_base64url
from webapp.store import quarantine
from webapp.store.quarantine import RefusedRecord


def after(stored: Iterable[Record], kids: Iterable[str]) -> None:
    """Judge again what these stored records let in; call inside ``writing()``.

    Args:
        stored: records that were just stored.
        kids: keys whose chains have just moved.
    """
    payloads = [record.payload for record in stored]
    gaps = [one["body"]["of_key"] for one in payloads if one["kind"] == "gap.declared"]
    decided = [one["body"]["record"] for one in payloads if one["kind"] == "quarantine.decided"]
    rows = quarantine.waiting_for({*kids, *gaps}) + quarantine.those(decided)
    if rows:
        _judge(rows)


def once_confirmed(kid: str) -> int:
    """Judge again what waited for a key to be confirmed; return how many came in.

    Call inside ``writing()``. What breaks another rule stays apart, now for that reason.
    """
    rows = quarantine.of_key(kid, admission_key.WAITS)
    if rows:
        _judge(rows)
    return len(rows) - len(quarantine.those(row.id for row in rows))


def _judge(rows: list[RefusedRecord]) -> None:
    opened = open_all([envelope_of(row) for row in rows])
    ledger = Ledger([one.record for one in opened if one.record])
    batch = judging.judge(opened, None, ledger)
    judging.keep(batch, ledger)
    if ledger.moved or batch.stored:
        after(batch.stored.values(), ledger.moved)


def envelope_of(row: RefusedRecord) -> dict[str, str]:
    """Return a record kept apart as it travelled."""
    return {
        "p": to_base64url(bytes(row.payload)),
        "kid": row.kid,
        "sig": to_base64url(bytes(row.signature)),
    }
