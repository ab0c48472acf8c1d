"""The lens catalogue and the limits in force: adopted by an administrator, newest first.

A plan names the catalogue and the limits it was made with, so old ones stay readable for ever.
"""

import json
from typing import Any, NamedTuple

from webapp.flow import accounts, desk_record
from webapp.flow.actor import Actor
from webapp.flow.calculation import as_entry, ask
from webapp.flow.desk_record import Draft
from webapp.records.draft import Subject
from webapp.records.kinds import REFERENCE_SITE
from webapp.store import accounts as store_accounts
from webapp.store import journal
from webapp.store.database import writing

KINDS = ("catalogue.adopted", "limits.adopted")
EVERYWHERE = Subject(None, None, REFERENCE_SITE)


class Version(NamedTuple):
    """One adoption: what, when and by whom."""

    id: str
    body: dict[str, Any]
    received_at: str
    name: str
    """Of the person who adopted it."""


def adopt(actor: Actor, kind: str, body: dict[str, Any]) -> str:
    """Adopt a catalogue or limits from now on and return the record's id.

    Args:
        actor: an administrator.
        kind: ``catalogue.adopted`` or ``limits.adopted``.
        body: as the kind lists it.

    Raises:
        Refused: not an administrator, or the body breaks a rule.
    """
    actor.require_role("administrator")
    with writing():
        return desk_record.write(actor, Draft(kind, EVERYWHERE, "administrator", body))


def adopt_confirmed(actor: Actor, kind: str, body: dict[str, Any], passphrase: str) -> str:
    """Adopt as ``adopt`` does, once the passphrase was given again.

    Raises:
        Refused: as ``adopt``, or the passphrase is wrong (field ``passphrase``).
    """
    actor.require_role("administrator")
    accounts.confirm(actor, passphrase)
    return adopt(actor, kind, body)


def versions(kind: str) -> list[Version]:
    """Return every adoption of a kind, newest first."""
    names = store_accounts.names()
    found = []
    for entry in journal.entries_of_kind(REFERENCE_SITE, kind):
        body = json.loads(entry.payload)["body"]
        name = names.get(entry.author, entry.author)
        found.append(Version(entry.id, body, entry.received_at, name))
    return found


def in_force() -> dict[str, Any]:
    """Return the REFERENCE in force: catalogue and limits, each with its id, or None."""
    entries = journal.newest_of_kinds(REFERENCE_SITE, KINDS)
    return ask({"do": "reference", "entries": [as_entry(entry) for entry in entries]})


def as_adopted(catalogue: str, limits: str) -> dict[str, Any]:
    """Return the REFERENCE that a plan names, even when newer ones are in force by now."""
    found = journal.entries_by_id([catalogue, limits])
    return {
        name: {"id": record_id, "body": json.loads(found[record_id].payload)["body"]}
        for name, record_id in (("catalogue", catalogue), ("limits", limits))
        if record_id in found
    }
