"""Urgent readings that a rule kept apart: no fold holds them, so they would alarm nobody (H37).

Such a reading may be of a lens whose surgery was withdrawn since, or of a phone whose key waits.
It is judged as it would be if it had come in and its surgery stood: whoever withdrew the record of
a surgery took no lens out of an eye. It is listed until a surgeon has decided about it.
"""

from typing import Any, NamedTuple

from webapp.flow import folding, joined, kept_apart
from webapp.flow.actor import Actor
from webapp.flow.desk_record import payload_of
from webapp.flow.kept_apart import Apart
from webapp.flow.said import SURGERY
from webapp.store import installation
from webapp.store.journal import Entry

KINDS = "followup."
VOID = "record.void"


class UrgentApart(NamedTuple):
    """One reading kept apart that could not have waited."""

    record: str
    name: str
    """Of the person."""
    eye: str
    site_title: str
    author: str
    title: str
    values: list[str]
    taken: str
    why: str
    """Why it is kept apart."""


def waiting(actor: Actor) -> list[UrgentApart]:
    """Return the urgent readings kept apart at the actor's sites that nobody decided about."""
    titles = installation.site_titles()
    found = []
    for one in kept_apart.listing(actor, KINDS):
        item = _urgent(one) if one.whole and one.decision is None else None
        if item is not None:
            found.append(
                UrgentApart(
                    one.id, one.person, one.payload["eye"], titles.get(one.site, one.site),
                    one.author, item["title"], item["values"], item["taken"], one.why,
                )
            )  # fmt: skip
    return found


def _urgent(one: Apart) -> dict[str, Any] | None:
    """Return what is urgent about a reading, None where it could wait."""
    payload = one.payload
    entries = joined.entries_of(payload["person"])
    surgeries = {entry.id for entry in entries if entry.kind == SURGERY}
    stored = [entry for entry in entries if not _withdraws(entry, surgeries)]
    added = [{"id": one.id, "payload": payload, "received": None, "state": "ok"}]
    eyes = folding.fold_entries(stored, folding.in_force(), added)["eyes"]
    items: list[dict[str, Any]] = eyes[payload["eye"]]["urgent"]
    return next((item for item in items if item["reading"] == one.id), None)


def _withdraws(entry: Entry, surgeries: set[str]) -> bool:
    return entry.kind == VOID and payload_of(entry)["body"]["target"] in surgeries
