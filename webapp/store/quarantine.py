"""Genuine records that the rules turned away, kept apart: no fold, page or pull reads them."""

from collections.abc import Iterable

from peewee import BigIntegerField, BlobField, CharField, IntegerField

from webapp.store.database import Row, insert, read, rows_among, run

WAITS = "chain.gap"
"""The code of what only waits for an earlier record of its key."""


class RefusedRecord(Row):
    """A genuine record the rules turned away: its place in the chain, its bytes, and why.

    The bytes are kept apart so that nothing signed is lost; no fold, page or pull reads them.
    """

    id = CharField(64, primary_key=True)
    kid = CharField(64, index=True)
    seq = BigIntegerField()
    """As the record says it, which may be any number."""
    prev = CharField(64, null=True)
    has_place = IntegerField()
    """1 when the chain of its key counts it; 0 while an earlier record is missing."""
    code = CharField()
    message = CharField(2000)
    payload = BlobField()
    signature = BlobField()
    received_at = CharField()


class Decision(Row):
    """What a person decided about a record kept apart: the record that says so."""

    decided_by = CharField(64, primary_key=True)
    record = CharField(64, index=True)
    decision = CharField()


def among(ids: Iterable[str]) -> dict[str, bool]:
    """Return id -> whether it holds a place in its chain, of those turned away earlier."""
    rows = rows_among("id, has_place", "refused_record", "id", ids)
    return {row[0]: bool(row[1]) for row in rows}


def keep(refusals: list[dict[str, object]]) -> None:
    """Keep refused records apart, replacing an earlier refusal of the same record."""
    for refusal in refusals:
        run("DELETE FROM refused_record WHERE id = ?", refusal["id"])
        insert("refused_record", refusal)


def release(ids: Iterable[str]) -> None:
    """Drop records from quarantine once they have been stored after all."""
    RefusedRecord.delete().where(RefusedRecord.id << list(ids)).execute()


def everything() -> list[RefusedRecord]:
    """Return all that is kept apart, each key's records in chain order."""
    return list(RefusedRecord.select().order_by(RefusedRecord.kid, RefusedRecord.seq))


def count() -> int:
    """Return how many records are kept apart."""
    return int(RefusedRecord.select().count())


def waiting() -> list[RefusedRecord]:
    """Return all that waits for an earlier record, each key's in chain order."""
    return read(RefusedRecord, "WHERE code = ? ORDER BY kid, seq", WAITS)


def find(record_id: str) -> RefusedRecord | None:
    """Return one record kept apart."""
    return next(iter(read(RefusedRecord, "WHERE id = ?", record_id)), None)


def those(ids: Iterable[str]) -> list[RefusedRecord]:
    """Return those of these records that are kept apart."""
    wanted = list(ids)
    return list(RefusedRecord.select().where(RefusedRecord.id << wanted)) if wanted else []


def waiting_for(kids: Iterable[str]) -> list[RefusedRecord]:
    """Return what waits for earlier records of these keys, each in chain order."""
    # Looked up by a written-out statement, since it runs with every push and mostly finds none.
    found = rows_among("id, code", "refused_record", "kid", kids)
    return sorted(those(name for name, code in found if code == WAITS), key=lambda row: row.seq)


def decide(decided_by: str, record: str, decision: str) -> None:
    """Note a person's decision, the record of which was just stored."""
    Decision.create(decided_by=decided_by, record=record, decision=decision)


def decisions(ids: Iterable[str]) -> dict[str, str]:
    """Return id -> "adopt" or "leave" of the records decided; whatever came first, adopt counts.

    What was adopted is in the journal, and nothing leaves that again.
    """
    rows = rows_among("record, decision", "decision", "record", ids)
    return {record: min(d for r, d in rows if r == record) for record, _ in rows}


def of_key(kid: str, code: str) -> list[RefusedRecord]:
    """Return the records of one key that wait here for one reason, in chain order."""
    return read(RefusedRecord, "WHERE kid = ? AND code = ? ORDER BY seq", kid, code)


def count_by_key() -> dict[str, int]:
    """Return key id -> how many of its records are kept apart."""
    return dict(run("SELECT kid, COUNT(*) FROM refused_record GROUP BY kid"))
