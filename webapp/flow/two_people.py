"""What takes two people: one proposes, another confirms within a week, and then it is done.

The part that owns the deed calls ``propose`` after its own checks, and does the deed in the same
transaction as ``confirm``: nothing is done by a proposal alone, and none is confirmed twice.
"""

import secrets
from typing import NamedTuple

from webapp.flow import audit, clock
from webapp.flow.actor import Actor, RoleAt
from webapp.flow.refusal import NotFound, Refused
from webapp.store import accounts
from webapp.store import proposals as store
from webapp.store.database import writing

WEEK_S = 7 * 24 * 3600
"""How long a proposal can be confirmed."""


class Proposal(NamedTuple):
    """One proposal that waits."""

    id: str
    what: str
    """Which deed, such as ``role.give``."""
    subject: str
    detail: str
    by: str
    by_name: str
    at_s: int
    words: str = ""
    """The proposer's own words, where the deed asks for them."""


def propose(actor: Actor, what: str, subject: str, detail: str = "", words: str = "") -> str:
    """Keep a proposal and return its id; the same one again gives the id of the first.

    Ids and codes go into ``detail``, which the audit log takes over; a reason into ``words``.
    """
    with writing():
        for one in pending(what):
            said = (one.subject, one.detail, one.words, one.by)
            if said == (subject, detail, words, actor.user_id):
                return one.id
        proposal_id = secrets.token_hex(8)
        store.add(
            proposal_id, actor.user_id, clock.seconds(),
            what=what, subject=subject, detail=detail, words=words,
        )  # fmt: skip
        audit.note("proposal.made", actor, subject, f"{what}:{detail}")
    return proposal_id


def pending(what: str) -> list[Proposal]:
    """Return the proposals of one deed that can still be confirmed, the oldest first."""
    names = accounts.names()
    return [
        Proposal(
            row.id,
            row.what,
            row.subject,
            row.detail,
            row.by,
            names.get(row.by, row.by),
            row.at_s,
            row.words,
        )
        for row in store.open_since(clock.seconds() - WEEK_S)
        if row.what == what
    ]


def find(what: str, proposal_id: str) -> Proposal:
    """Return one that waits. Raises: NotFound where it was settled, ran out, or never was."""
    for one in pending(what):
        if one.id == proposal_id:
            return one
    raise NotFound("proposal; it was settled, or a week has passed")


def confirm(actor: Actor, what: str, proposal_id: str, action: str) -> Proposal:
    """Settle a proposal as confirmed and return it; call inside ``writing()`` and do the deed.

    Args:
        actor: who confirms.
        what: the deed.
        proposal_id: which.
        action: the permission that both people must hold at this moment.

    Raises:
        NotFound: it does not wait any more.
        Refused: the same person proposed it, is its subject, or either may not do this now.
    """
    found = find(what, proposal_id)
    actor.require(action)
    if actor.user_id == found.by:
        raise Refused("two_people.same", "You proposed this yourself; somebody else confirms it.")
    if actor.user_id == found.subject:
        raise Refused(
            "two_people.own", "This is about your own account; somebody else confirms it."
        )
    if not _still_may(found.by, action):
        raise Refused("two_people.gone", "Whoever proposed this may not do so any more.")
    if not store.settle(found.id, actor.user_id, "confirmed", clock.seconds()):
        raise NotFound("proposal")
    audit.note("proposal.confirmed", actor, found.subject, f"{what}:{found.detail}")
    return found


def withdraw(actor: Actor, what: str, proposal_id: str, action: str) -> None:
    """Settle a proposal without its deed: the proposer takes it back, or another refuses it."""
    actor.require(action)
    with writing():
        found = find(what, proposal_id)
        store.settle(found.id, actor.user_id, "withdrawn", clock.seconds())
        audit.note("proposal.withdrawn", actor, found.subject, f"{what}:{found.detail}")


def _still_may(user_id: str, action: str) -> bool:
    account = accounts.by_id(user_id)
    if account is None or not account.active:
        return False
    roles = tuple(RoleAt(*pair) for pair in account.roles)
    return Actor(user_id, account.sign_in_name, account.name, roles).may(action)
