"""The rule for recalling a core: two administrators, one who proposed it and one who signs."""

from typing import Any

from webapp.flow.ledger import Ledger
from webapp.flow.refusal import Refused

ADMINISTRATOR = "administrator"


def check(payload: dict[str, Any], ledger: Ledger) -> None:
    """Refuse a recall that one person made alone, or that names somebody who may not.

    That its author is an administrator is asked of every record by its role.
    """
    if payload["kind"] != "core.recalled":
        return
    proposer = payload["body"]["proposed_by"]
    if proposer == payload["author"]:
        raise Refused("recall.alone", "A recall takes two administrators; this one names one.")
    if not any((user, role) == (proposer, ADMINISTRATOR) for user, role, _ in ledger.roles):
        raise Refused("recall.proposer", "Whoever proposed this recall is no administrator now.")
