"""What cannot wait goes first: the chains that hold it, as ``static/sync/push.js`` sends them.

Within a chain nothing can overtake (decision 55), so of each phone those chains go first that hold
a reading which neither the base nor anybody else has heard of.
"""

from typing import Any

from tests.simulation.phone_store import PhoneStore, Row

PRESSURE, VAULT = "followup.pressure", "followup.vault"
FROM_DMMHG, BELOW_UM = 300, 100
"""What cannot wait: a pressure [0.1 mmHg] from here on, a vault [um] below (common practice)."""


def cannot_wait(payload: dict[str, Any]) -> bool:
    """Return whether a record is a reading that cannot wait."""
    kind, body = payload["kind"], payload["body"]
    return (kind == PRESSURE and bool(body["iop_dmmHg"] >= FROM_DMMHG)) or (
        kind == VAULT and bool(body["vault_um"] < BELOW_UM)
    )


def silent(store: PhoneStore) -> list[Row]:
    """Return what cannot wait on a phone, and nobody but whoever read it knows."""
    waiting = [store.records[one] for one, said in store.outbox.items() if said[0] == "waiting"]
    found = [row for row in waiting if row.received is None and cannot_wait(row.payload)]
    if not found:
        return []
    heard = {
        name
        for row in store.records.values()
        if row.payload["kind"] in ("urgent.told", "urgent.answered")
        for name in row.payload["body"]["readings"]
    }
    return [row for row in found if row.id not in heard]


def ordered(rows: list[Row], first: list[Row]) -> list[Row]:
    """Return what is to be sent with the chains first that hold one of these."""
    chains = {row.kid for row in first}
    before = [row for row in rows if row.kid in chains]
    return [*before, *(row for row in rows if row.kid not in chains)]


def is_late(first: list[Row], known: set[str], sent: list[Row]) -> bool:
    """Return whether a batch sends another chain before one that holds what cannot wait.

    Args:
        first: what cannot wait on a phone.
        known: ids of those that it knew of when it chose the batch.
        sent: the batch, in order.
    """
    chains = {row.kid for row in first}
    others = [place for place, row in enumerate(sent) if row.kid not in chains]
    places = {row.id: place for place, row in enumerate(sent)}
    wanted = [row.id for row in first if row.id in known or row.id in places]
    last = max((places.get(name, len(sent)) for name in wanted), default=-1)
    return bool(others) and others[0] < last
