"""The lens catalogue and the limits in force: adopted by an administrator, newest first.

A plan names the catalogue and the limits it was made with, so old ones stay readable for ever.
"""

import json
from typing import Any

from webapp.flow import desk_record
from webapp.flow.actor import Actor
from webapp.flow.calculation import as_entry, ask
from webapp.flow.desk_record import Draft
from webapp.records.draft import Subject
from webapp.records.kinds import REFERENCE_SITE
from webapp.store import journal
from webapp.store.database import writing

KINDS = ("catalogue.adopted", "limits.adopted")
EVERYWHERE = Subject(None, None, REFERENCE_SITE)


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
