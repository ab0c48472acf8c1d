"""Accounts of the people who work here: added, listed, given roles, stopped; administrators only."""

from typing import NamedTuple

from webapp.flow.actor import Actor, RoleAt


class UserRow(NamedTuple):
    """One account as the list shows it."""

    user_id: str
    sign_in_name: str
    name: str
    roles: tuple[RoleAt, ...]
    active: bool


def listing(actor: Actor) -> list[UserRow]:
    """Return every account, by name."""
    raise NotImplementedError


def sites() -> list[tuple[str, str]]:
    """Return (id, title) of every site, the base first."""
    raise NotImplementedError


def add(actor: Actor, sign_in_name: str, name: str, passphrase: str, roles: list[RoleAt]) -> str:
    """Make an account and return its user id; Refused names the field at fault."""
    raise NotImplementedError


def set_roles(actor: Actor, user_id: str, roles: list[RoleAt]) -> None:
    """Replace the roles of an account, acting at once."""
    raise NotImplementedError


def set_active(actor: Actor, user_id: str, active: bool) -> None:
    """Stop or restart an account; stopping ends all its sessions at once."""
    raise NotImplementedError
