"""Asking at the desk that an exchange of the lens in an eye be weighed by a surgeon."""

from typing import Any

from webapp.flow import desk_record
from webapp.flow.actor import Actor
from webapp.flow.desk_record import Draft
from webapp.flow.opened_eye import opened
from webapp.flow.refusal import Refused
from webapp.store.database import writing

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
