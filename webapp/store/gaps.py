"""Records of a key that were declared lost: where its chain goes on all the same."""

from collections.abc import Iterable
from typing import NamedTuple

from peewee import BigIntegerField, CharField

from webapp.store.database import Row, rows_among, rows_of


class DeclaredGap(Row):
    """One declaration, named by the record that makes it."""

    id = CharField(64, primary_key=True)
    kid = CharField(64, index=True)
    from_seq = BigIntegerField()
    to_seq = BigIntegerField()
    last = CharField(64)


class Gap(NamedTuple):
    """Numbers ``from_seq`` to ``to_seq`` of a chain are lost; the next one names ``last``."""

    id: str
    kid: str
    from_seq: int
    to_seq: int
    last: str


def add(gap: Gap) -> None:
    """Note a declaration, the record of which was just stored."""
    DeclaredGap.create(**gap._asdict())


def of_keys(kids: Iterable[str]) -> list[Gap]:
    """Return what was declared lost in the chains of these keys."""
    return [Gap(*row) for row in rows_among(", ".join(Gap._fields), "declared_gap", "kid", kids)]


def everything() -> list[Gap]:
    """Return every declaration."""
    names = [getattr(DeclaredGap, name) for name in Gap._fields]
    return [Gap(*row) for row in rows_of(DeclaredGap.select(*names).order_by(DeclaredGap.kid))]
