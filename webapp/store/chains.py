"""The head of each key's chain: every record a key makes follows its newest one."""

from collections.abc import Iterable

from peewee import BigIntegerField, CharField

from webapp.store.database import Row, rows_among, run


class ChainHead(Row):
    """The newest position of a key's chain: stored or refused, both take a place."""

    kid = CharField(64, primary_key=True)
    seq = BigIntegerField()
    id = CharField(64)


MOVE = (
    "INSERT INTO chain_head (kid, seq, id) VALUES (?, ?, ?)"
    " ON CONFLICT (kid) DO UPDATE SET seq = excluded.seq, id = excluded.id"
)


def heads(kids: Iterable[str]) -> dict[str, tuple[int, str]]:
    """Return kid -> (seq, id) of the newest record each key has made, stored or refused."""
    rows = rows_among("kid, seq, id", "chain_head", "kid", kids)
    return {kid: (seq, record_id) for kid, seq, record_id in rows}


def move(heads: dict[str, tuple[int, str]]) -> None:
    """Keep the new head of each key's chain; call inside ``writing()``."""
    for kid, (seq, record_id) in heads.items():
        run(MOVE, kid, seq, record_id)
