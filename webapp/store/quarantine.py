"""Genuine records that the rules turned away, kept apart: no fold, page or pull reads them."""

from collections.abc import Iterable

from peewee import BlobField, CharField, IntegerField

from webapp.store.database import Row, rows_among


class RefusedRecord(Row):
    """A genuine record the rules turned away: its place in the chain, its bytes, and why.

    The bytes are kept apart so that nothing signed is lost; no fold, page or pull reads them.
    """

    id = CharField(64, primary_key=True)
    kid = CharField(64)
    seq = IntegerField()
    code = CharField()
    message = CharField(2000)
    payload = BlobField()
    signature = BlobField()
    received_at = CharField()


def among(ids: Iterable[str]) -> set[str]:
    """Return those of these ids that were turned away earlier and wait in quarantine."""
    return {row[0] for row in rows_among("id", "refused_record", "id", ids)}


def keep(refusals: list[dict[str, object]]) -> None:
    """Keep refused records apart, replacing an earlier refusal of the same record."""
    for refusal in refusals:
        RefusedRecord.delete().where(RefusedRecord.id == refusal["id"]).execute()
        RefusedRecord.create(**refusal)


def release(ids: Iterable[str]) -> None:
    """Drop records from quarantine once they have been stored after all."""
    RefusedRecord.delete().where(RefusedRecord.id << list(ids)).execute()
