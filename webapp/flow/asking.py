"""Asking at the desk that a surgeon weigh an exchange of the lens in an eye, and who waits."""

from collections.abc import Mapping
from typing import Any, NamedTuple

from webapp.core.case.asking import SAID
from webapp.flow import desk_record, kept_folds, worklist
from webapp.flow.actor import Actor
from webapp.flow.desk_record import Draft
from webapp.flow.opened_eye import opened
from webapp.flow.refusal import Refused
from webapp.store.database import writing

ASKED = "exchange.asked"
STATES = ("exchange_considered", "approved", "stale", "conflict")
"""Of an eye with a lens in it that a surgeon can decide on."""
ROLES = ("desk", "optometrist", "surgeon")


class AskedEye(NamedTuple):
    """One eye for which an exchange was asked that should not wait."""

    person: str
    eye: str
    name: str
    camp_code: str
    site_title: str
    text: str
    """Why, as it was asked last among what should not wait."""
    since: str
    """When it was asked first (instant)."""


def urgent(actor: Actor) -> list[AskedEye]:
    """Return the eyes with an unanswered request that should not wait, the first asked first."""
    rows = [row for state in STATES for row in worklist.rows(actor, state, limit=None, says=SAID)]
    folds = kept_folds.current_folds({row.person for row in rows})
    found = []
    for row in rows:
        waiting = [one for one in unanswered(folds[row.person]["eyes"][row.eye]) if one["urgent"]]
        if waiting:
            found.append(
                AskedEye(
                    row.person, row.eye, row.name, row.camp_code, row.site_title,
                    waiting[-1]["text"], waiting[0]["wall"],
                )
            )  # fmt: skip
    return sorted(found, key=lambda one: one.since)


def unanswered(eye: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """Return what is asked of an eye in a fold and can be decided, the oldest first."""
    exchange = eye["exchange"]
    asked = exchange["asked"] if exchange and exchange["can_decide"] else []
    return [one for one in asked if not one["answered"]]


def keep(actor: Actor, person: str, eye: str, said: dict[str, Any]) -> str:
    """Keep one request to weigh an exchange; return the record's id.

    Args:
        actor: whoever asks.
        person: whose.
        eye: "R" or "L".
        said: ``why`` and ``note`` of the record.

    Raises:
        NotFound: no such person at a site of theirs.
        Refused: the eye has no lens on record, or more than one.
    """
    subject, role, fold = opened(actor, person, eye, "exchange.ask", ROLES)
    exchange = fold["eyes"][eye]["exchange"]
    if exchange is None:
        raise Refused(
            "asked.no_lens",
            "There is not just one lens in this eye by the records: nothing can be weighed.",
        )
    with writing():
        body = {"implant": exchange["implant"], **said}
        return desk_record.write(actor, Draft(ASKED, subject, role, body))
