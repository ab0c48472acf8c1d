"""The head of each key's chain: every record a key makes follows its newest one."""

from collections.abc import Iterable

from peewee import CharField, IntegerField

from webapp.store.database import Row


class ChainHead(Row):
    """The newest position of a key's chain: stored or refused, both take a place."""

    kid = CharField(64, primary_key=True)
    seq = IntegerField()
    id = CharField(64)


def heads(kids: Iterable[str]) -> dict[str, tuple[int, str]]:
    """Return kid -> (seq, id) of the newest record each key has made, stored or refused."""
    query = ChainHead.select().where(ChainHead.kid << list(kids))
    return {row.kid: (row.seq, row.id) for row in query}


def move(heads: dict[str, tuple[int, str]]) -> None:
    """Keep the new head of each key's chain; call inside ``writing()``."""
    for kid, (seq, record_id) in heads.items():
        moved = ChainHead.update(seq=seq, id=record_id).where(ChainHead.kid == kid)
        if not moved.execute():
            ChainHead.create(kid=kid, seq=seq, id=record_id)
