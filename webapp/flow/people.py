"""Accounts of the people who work here: added, listed, given roles, stopped."""

import re
import secrets
from typing import NamedTuple

from webapp.flow import audit, clock, passphrases
from webapp.flow.accounts import plain_name
from webapp.flow.actor import Actor, RoleAt
from webapp.flow.permissions import ROLES
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


def add(actor: Actor, sign_in_name: str, name: str, passphrase: str, roles: list[RoleAt]) -> str:
    """Make an account and return its user id; Refused names the field at fault."""
    actor.require("account.write")
    return make(NewUser(sign_in_name, name, passphrase, roles), actor)


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
    _check_roles(new.roles)
    user_id = new.user_id or f"u-{secrets.token_hex(8)}"
    if not _ID.fullmatch(user_id) or store.by_id(user_id):
        raise Refused("user.id", f"{user_id} cannot be used as an id.", "user_id")
    passphrase_hash = passphrases.hash_new(new.passphrase)
    with writing():
        store.add(user_id, sign_in_name, new.name.strip(), passphrase_hash)
        audit.note("account.made", actor, user_id)
        _give_and_take(actor, user_id, set(), set(new.roles))
    return user_id


def set_roles(actor: Actor, user_id: str, roles: list[RoleAt]) -> None:
    """Replace the roles of an account, acting at once."""
    actor.require("account.write")
    _require_user(user_id)
    _check_roles(roles)
    if user_id == actor.user_id and not any(role.role == "administrator" for role in roles):
        raise Refused("user.self", "You cannot take your own administrator role away.", "roles")
    with writing():
        held = {RoleAt(*pair) for pair in _require_user(user_id).roles}
        _give_and_take(actor, user_id, held, set(roles))


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
    passphrase_hash = passphrases.hash_new(passphrase)
    with writing():
        store.set_passphrase_hash(account.user_id, passphrase_hash)
        store.end_sessions_of(account.user_id, clock.seconds())
        audit.note("passphrase.set", None, account.user_id, address=audit.COMMAND_LINE)


def _give_and_take(
    actor: Actor | None, user_id: str, held: set[RoleAt], roles: set[RoleAt]
) -> None:
    """Set the roles of an account, each change with its line in the audit log."""
    store.set_roles(user_id, list(roles))
    for event, changed in (("role.given", roles - held), ("role.taken", held - roles)):
        for one in sorted(changed):
            audit.note(event, actor, user_id, f"{one.role}@{one.site}")


def _require_user(user_id: str) -> store.Account:
    account = store.by_id(user_id)
    if account is None:
        raise NotFound("account")
    return account


def _check_roles(roles: list[RoleAt]) -> None:
    known = installation.site_titles()
    for held in roles:
        if held.role not in ROLES:
            raise Refused("user.role", f"{held.role} is not a role: {', '.join(ROLES)}.", "roles")
        if held.site not in known:
            raise Refused("user.site", f"{held.site} is not a site: {', '.join(known)}.", "roles")
