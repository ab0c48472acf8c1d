"""Accounts of the people who work here: added, listed, given roles, stopped."""

import re
import secrets
from typing import NamedTuple

from webapp.flow import audit, clock, granting, passphrases, two_people
from webapp.flow.accounts import confirm, plain_name
from webapp.flow.actor import Actor, RoleAt
from webapp.flow.refusal import NotFound, Refused
from webapp.store import accounts as store
from webapp.store import installation
from webapp.store.database import writing

_SIGN_IN_NAME = re.compile(r"[^\s/\\<>\"'&]{2,60}")
_ID = re.compile(r"u-[a-z0-9-]{1,37}")


class UserRow(NamedTuple):
    """One account as the list shows it."""

    user_id: str
    sign_in_name: str
    name: str
    roles: tuple[RoleAt, ...]
    active: bool


class NewUser(NamedTuple):
    """What an account is made from; an empty ``user_id`` gets a random one."""

    sign_in_name: str
    name: str
    passphrase: str
    roles: list[RoleAt]
    user_id: str = ""


def listing(actor: Actor) -> list[UserRow]:
    """Return every account, by name, for whoever may see them."""
    actor.require("account.read")
    return everyone()


def everyone() -> list[UserRow]:
    """Return every account, by name."""
    return [
        UserRow(
            row.user_id, row.sign_in_name, row.name,
            tuple(RoleAt(role, site) for role, site in row.roles), row.active,
        )
        for row in store.everyone()
    ]  # fmt: skip


def sites() -> list[tuple[str, str]]:
    """Return (id, title) of every site, the base first."""
    return list(installation.site_titles().items())


def add(actor: Actor, new: NewUser, own_passphrase: str) -> bool:
    """Make an account; return False when some of its roles wait for another administrator.

    Raises:
        Refused: naming the field at fault; ``own_passphrase`` for a wrong passphrase of one's own.
    """
    actor.require("account.write")
    try:
        confirm(actor, own_passphrase)
    except Refused as refusal:
        raise Refused(refusal.code, refusal.message, "own_passphrase") from refusal
    waiting = [role for role in new.roles if granting.takes_two(role.role)]
    with writing():
        at_once = [role for role in new.roles if role not in waiting]
        user_id = make(new._replace(roles=at_once), actor)
        for role in waiting:
            granting.check(role)
            two_people.propose(actor, granting.GIVE, user_id, f"{role.role}@{role.site}")
    return not waiting


def make(new: NewUser, actor: Actor | None = None) -> str:
    """Make an account; at the command line and for the demo nobody is signed in.

    Raises:
        Refused: with the field at fault.
    """
    sign_in_name = plain_name(new.sign_in_name)
    if not _SIGN_IN_NAME.fullmatch(sign_in_name):
        raise Refused(
            "user.sign_in_name",
            "The sign-in name needs 2 to 60 characters without spaces or quotes.",
            "sign_in_name",
        )
    if not new.name.strip():
        raise Refused("user.name", "Type the name that colleagues know this person by.", "name")
    if store.by_sign_in_name(sign_in_name):
        raise Refused("user.taken", f"{sign_in_name} is in use; choose another.", "sign_in_name")
    for role in new.roles:
        granting.check(role)
    user_id = new.user_id or f"u-{secrets.token_hex(8)}"
    if not _ID.fullmatch(user_id) or store.by_id(user_id):
        raise Refused("user.id", f"{user_id} cannot be used as an id.", "user_id")
    passphrase_hash = passphrases.hash_new(new.passphrase, about=(sign_in_name, new.name))
    with writing():
        store.add(user_id, sign_in_name, new.name.strip(), passphrase_hash)
        audit.note("account.made", actor, user_id)
        granting.change(actor, user_id, set(new.roles))
    return user_id


def end_sessions(actor: Actor, user_id: str) -> None:
    """Sign somebody out everywhere."""
    actor.require("account.write")
    _require_user(user_id)
    with writing():
        store.end_sessions_of(user_id, clock.seconds())
        audit.note("sessions.ended", actor, user_id)


def set_active(actor: Actor, user_id: str, active: bool) -> None:
    """Stop or restart an account; stopping ends all its sessions at once."""
    actor.require("account.write")
    _require_user(user_id)
    if user_id == actor.user_id and not active:
        raise Refused("user.self", "You cannot stop your own account.")
    with writing():
        store.set_active(user_id, active)
        audit.note("account.started" if active else "account.stopped", actor, user_id)
        if not active:
            store.end_sessions_of(user_id, clock.seconds())


def set_passphrase(sign_in_name: str, passphrase: str) -> None:
    """Give an account a new passphrase and end its sessions: for the command line."""
    account = store.by_sign_in_name(plain_name(sign_in_name))
    if account is None:
        raise NotFound("account")
    passphrase_hash = passphrases.hash_new(passphrase, about=(account.sign_in_name, account.name))
    with writing():
        store.set_passphrase_hash(account.user_id, passphrase_hash)
        store.end_sessions_of(account.user_id, clock.seconds())
        audit.note("passphrase.set", None, account.user_id, address=audit.COMMAND_LINE)


def _require_user(user_id: str) -> None:
    if store.by_id(user_id) is None:
        raise NotFound("account")
