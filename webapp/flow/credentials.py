"""A passphrase changed by its owner, or made anew by them with a one-time code from two colleagues.

Nobody but its owner ever knows a passphrase that was made anew: a colleague who has seen or called
back the owner proposes, another confirms and is shown a code once, and the owner types it in.
"""

import hashlib
import secrets
from typing import NamedTuple

from webapp.flow import accounts, audit, clock, granting, passphrases, two_people
from webapp.flow.actor import Actor
from webapp.flow.refusal import NotFound, Refused
from webapp.flow.two_people import Proposal
from webapp.store import accounts as store
from webapp.store import audit_log, devices, reset_codes
from webapp.store.database import writing

ACTION = "credentials.reset"
RESET = "credentials.reset"
CODE_BYTES = 10
CODE_S = 15 * 60
"""How long a code can be used [s]: a telephone call's length, not a day's."""
SHOWN_DAYS = 7


class Colleague(NamedTuple):
    """Somebody whose passphrase may be made anew from here."""

    user_id: str
    name: str


class Notice(NamedTuple):
    """That a colleague's passphrase was made anew."""

    name: str
    at: str


def change_own(actor: Actor, session_id: str, old: str, new: str) -> None:
    """Give one's own account another passphrase; every other session of it ends."""
    accounts.confirm(actor, old)
    new_hash = passphrases.hash_new(new, "new", (actor.sign_in_name, actor.name))
    with writing():
        store.set_passphrase_hash(actor.user_id, new_hash)
        store.end_sessions_of(actor.user_id, clock.seconds(), except_for=session_id)
        audit.note("passphrase.set", actor, actor.user_id, "own")


def colleagues(actor: Actor) -> list[Colleague]:
    """Return the people whose passphrase this person may help to make anew."""
    return [
        Colleague(one.user_id, one.name)
        for one in store.everyone()
        if one.active and one.user_id != actor.user_id and _reaches(actor, one)
    ]


def propose(actor: Actor, user_id: str, passphrase: str) -> None:
    """Say that the owner was seen or called back and needs another passphrase."""
    actor.require(ACTION)
    if user_id not in {one.user_id for one in colleagues(actor)}:
        raise NotFound("colleague")
    accounts.confirm(actor, passphrase)
    two_people.propose(actor, RESET, user_id)


def pending(actor: Actor) -> list[tuple[Proposal, str]]:
    """Return the proposals that this person may see, each with its owner's name."""
    names = {one.user_id: one.name for one in colleagues(actor)}
    return [(p, names[p.subject]) for p in two_people.pending(RESET) if p.subject in names]


def confirm(actor: Actor, proposal_id: str, passphrase: str) -> tuple[str, str]:
    """Confirm another's proposal; return the owner's name and the code, which is shown once."""
    actor.require(ACTION)
    accounts.confirm(actor, passphrase)
    with writing():
        found = next((row for row in pending(actor) if row[0].id == proposal_id), None)
        if found is None:
            raise NotFound("proposal")
        proposal, name = found
        two_people.confirm(actor, RESET, proposal_id, ACTION)
        code = secrets.token_hex(CODE_BYTES)
        reset_codes.keep(proposal.subject, _hash(code), clock.seconds() + CODE_S)
        audit.note("reset.code_shown", actor, proposal.subject)
    return name, "-".join(code[start : start + 5] for start in range(0, len(code), 5))


def withdraw(actor: Actor, proposal_id: str) -> None:
    """Take back or refuse a proposal."""
    if proposal_id not in {row[0].id for row in pending(actor)}:
        raise NotFound("proposal")
    two_people.withdraw(actor, RESET, proposal_id, ACTION)


def make_anew(sign_in_name: str, code: str, new: str, address: str) -> None:
    """Set the passphrase of whoever holds the code; every session of the account ends.

    Raises:
        Refused: ``reset.wrong`` (the same for an unknown name and a wrong or used code),
            ``sign_in.wait``, or the new passphrase cannot be taken, which uses no code up.
    """
    name = accounts.plain_name(sign_in_name)
    accounts.throttle.check(name, address)
    account = store.by_sign_in_name(name)
    try:
        new_hash = passphrases.hash_new(new, "new", (name,))
    except Refused:
        accounts.throttle.left_off(name, address)
        raise
    with writing():
        user_id = account.user_id if account and account.active else ""
        if reset_codes.use(user_id, _hash(code), clock.seconds()):
            store.set_passphrase_hash(user_id, new_hash)
            store.end_sessions_of(user_id, clock.seconds())
            # Whoever had the passphrase may have enrolled a phone with it.
            devices.wait_again(user_id)
            audit.note("passphrase.set", None, user_id, "code", address)
            accounts.throttle.succeeded(name, address)
            return
        audit.note("sign_in.failed", None, user_id, "code", address)
    accounts.throttle.failed(name, address)
    raise Refused(
        "reset.wrong", "The name or the code is not right, or the code has run out.", "code"
    )


def notices(actor: Actor) -> list[Notice]:
    """Return whose passphrase was made anew with a code this week, among people of one's sites."""
    known = {one.user_id: one for one in store.everyone()}
    own = actor.sites()
    return [
        Notice(known[said.subject].name, said.at)
        for said in audit_log.since(clock.instant_before(SHOWN_DAYS), "passphrase.set")
        if said.detail == "code"
        and said.subject in known
        and own & {site for _, site in known[said.subject].roles}
    ]


def _reaches(actor: Actor, account: store.Account) -> bool:
    """Say whether a person may help with this account.

    For one whose role takes two administrators both helpers are administrators: one alone could
    otherwise make an account that helps, and sign in as a surgeon.
    """
    if any(role in granting.TAKES_TWO for role, _ in account.roles):
        return actor.has_role("administrator")
    return any(actor.may(ACTION, site) for _, site in account.roles)


def _hash(code: str) -> str:
    # 80 random bits need no slow hash.
    return hashlib.sha256(code.strip().lower().replace("-", "").encode()).hexdigest()
