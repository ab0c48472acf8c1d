"""Asking at the desk that an exchange of the lens in an eye be weighed by a surgeon."""

from typing import Any

from webapp.flow import desk_record, kept_folds
from webapp.flow.actor import Actor
from webapp.flow.desk_record import Draft
from webapp.flow.refusal import NotFound, Refused
from webapp.records.draft import Subject
from webapp.store.database import writing
from webapp.store.projections import cases

ASKED = "exchange.asked"
ROLES = ("desk", "optometrist", "surgeon")


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
    row = cases.find(person)
    if row is None or not actor.may_read(row.site):
        raise NotFound("person")
    actor.require("exchange.ask", row.site)
    role = next(one for one in ROLES if actor.holds(one, row.site))
    kept_folds.refresh([person])
    exchange = kept_folds.current_fold(person)["eyes"][eye]["exchange"]
    if exchange is None:
        raise Refused(
            "asked.no_lens",
            "There is not just one lens in this eye by the records: nothing can be weighed.",
        )
    with writing():
        body = {"implant": exchange["implant"], **said}
        return desk_record.write(actor, Draft(ASKED, Subject(person, eye, row.site), role, body))
