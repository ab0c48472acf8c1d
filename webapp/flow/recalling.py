"""Recalling a calculation core: one administrator proposes it, another confirms (I12).

From then on nothing is planned with that core and nothing is ordered from a plan of it. It does not
come back: a core that was recalled by mistake is released again with a change.
"""

import re
from typing import NamedTuple

from webapp.core_bundle import core_sha256
from webapp.flow import accounts, desk_record, kept_cores, reference, two_people
from webapp.flow.actor import Actor
from webapp.flow.desk_record import Draft
from webapp.flow.reference import EVERYWHERE, SHORTEST_REASON
from webapp.flow.refusal import Refused
from webapp.flow.two_people import Proposal
from webapp.store import accounts as store_accounts
from webapp.store import journal
from webapp.store.database import writing
from webapp.store.projections import plan_checks

KIND = "core.recalled"
ACTION = "core.recall"
LEAST_SIGNS = 12
_WHOLE_NAME = re.compile("[0-9a-f]{64}")


class Recall(NamedTuple):
    """Why a core is not used any more, and who said so."""

    why: str
    proposed_by: str
    """Name of the administrator who proposed it."""
    confirmed_by: str
    received_at: str


class Core(NamedTuple):
    """One calculation core that was met here."""

    sha256: str
    is_in_use: bool
    is_kept: bool
    """Whether its plans can be computed again here."""
    plans: int
    """How many requests and approvals name it."""
    recall: Recall | None


def known() -> list[Core]:
    """Return every core in use, kept, named by a plan or recalled; the one in use first."""
    here, plans, out = core_sha256(), plan_checks.count_by_core(), recalled()
    found = {here, *kept_cores.names(), *plans, *out}
    return [
        Core(core, core == here, kept_cores.is_kept(core), plans.get(core, 0), out.get(core))
        for core in sorted(found, key=lambda core: (core != here, -plans.get(core, 0), core))
    ]


def recalled() -> dict[str, Recall]:
    """Return core -> its recall."""
    names = store_accounts.names()
    found = {}
    for entry in journal.entries_of_kind(reference.EVERYWHERE.site, KIND):
        body = desk_record.payload_of(entry)["body"]
        by = body["proposed_by"]
        found[body["core"]] = Recall(
            body["why"], names.get(by, by), names.get(entry.author, entry.author), entry.received_at
        )
    return found


def propose(actor: Actor, begins: str, why: str, passphrase: str) -> str:
    """Propose that a core be recalled and return the proposal's id; nothing changes yet.

    Args:
        actor: an administrator.
        begins: the first twelve signs or more of a core known here, or all 64 of any.
        why: in words; it is shown wherever a plan fell with the core.
        passphrase: theirs, given again.

    Raises:
        Refused: no administrator, no one such core (field ``core``), recalled already, no reason
            (field ``why``), or a wrong passphrase.
    """
    actor.require(ACTION)
    core = named(begins)
    if len(why.strip()) < SHORTEST_REASON:
        raise Refused("reason.short", "Say in ten characters or more why it is recalled.", "why")
    accounts.confirm(actor, passphrase)
    with writing():
        _require_not_recalled(core)
        return two_people.propose(actor, ACTION, core, words=why.strip())


def confirm(actor: Actor, proposal_id: str, passphrase: str) -> str:
    """Confirm another administrator's proposal; the core is recalled. Return the record's id.

    Raises:
        NotFound: the proposal does not wait any more.
        Refused: no administrator, one's own proposal, or a wrong passphrase.
    """
    actor.require(ACTION)
    accounts.confirm(actor, passphrase)
    with writing():
        said = two_people.confirm(actor, ACTION, proposal_id, ACTION)
        _require_not_recalled(said.subject)
        body = {"core": said.subject, "why": said.words, "proposed_by": said.by}
        return desk_record.write(actor, Draft(KIND, EVERYWHERE, "administrator", body))


def withdraw(actor: Actor, proposal_id: str) -> None:
    """Take a proposal back, or refuse another's."""
    two_people.withdraw(actor, ACTION, proposal_id, ACTION)


def pending() -> list[Proposal]:
    """Return the proposals that wait; the subject of each is the core."""
    return two_people.pending(ACTION)


def named(begins: str) -> str:
    """Return the one core that is meant. Raises: Refused (field ``core``)."""
    asked = begins.strip().lower().replace(" ", "")
    if _WHOLE_NAME.fullmatch(asked):
        return asked
    found = [core.sha256 for core in known() if core.sha256.startswith(asked)]
    if len(asked) < LEAST_SIGNS or len(found) != 1:
        raise Refused(
            "core.unknown",
            "No one core known here begins so. Give twelve signs or more of its name, or all 64 of "
            "a core that was never here.",
            "core",
        )
    return found[0]


def _require_not_recalled(core: str) -> None:
    if core in recalled():
        raise Refused("core.recalled", "This core was recalled already.", "core")
