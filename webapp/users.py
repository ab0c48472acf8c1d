"""The command ``users``: list accounts, add one, or set a passphrase, at the server itself."""

import argparse
import sys

from webapp import options
from webapp.at_server import signed_in
from webapp.flow import granting, people
from webapp.flow.accounts import plain_name
from webapp.flow.actor import RoleAt
from webapp.flow.people import NewUser
from webapp.flow.refusal import Refused
from webapp.initialise import ask_passphrase
from webapp.settings import Settings, SettingsMissing
from webapp.store import database, migrations
from webapp.store.addresses import BadAddress


def main(argv: list[str]) -> int:
    """Run one of list, add and passphrase; return the exit code."""
    chosen = options.users().parse_args(argv)
    try:
        database.bind(Settings.from_environment().database_url)
        with database.connection():
            migrations.check_shape()
            COMMANDS[chosen.command](chosen)
    except (SettingsMissing, BadAddress, migrations.WrongShape, ValueError) as error:
        print(error, file=sys.stderr)
        return 1
    except Refused as refusal:
        print(refusal.message, file=sys.stderr)
        return 1
    return 0


def list_users(_chosen: argparse.Namespace) -> None:
    """Print each account with its roles."""
    for row in people.everyone():
        roles = ", ".join(f"{held.role}@{held.site}" for held in row.roles)
        stopped = "" if row.active else "  (stopped)"
        print(f"{row.sign_in_name}  {row.name}  {roles}{stopped}")


def add_user(chosen: argparse.Namespace) -> None:
    """Make an account; two administrators answer for a surgeon and for a further administrator."""
    roles = [_role(text) for text in chosen.role]
    passphrase = ask_passphrase()
    if any(_takes_two(role.role) for role in roles):
        _require_two(chosen.by)
    people.make(NewUser(chosen.sign_in_name, chosen.name, passphrase, roles))
    print(f"{chosen.sign_in_name} may sign in.")


def _takes_two(role: str) -> bool:
    """Say whether two administrators answer for a role given at the server itself.

    A lone administrator gets a second one here, also after another one left: somebody at the server
    could as well set that one's passphrase.
    """
    is_lone = granting.administrators() < granting.ENOUGH
    return granting.takes_two(role) and not (role == "administrator" and is_lone)


def _require_two(sign_in_names: list[str]) -> None:
    """Ask two administrators for their passphrases. Raises: Refused, ValueError."""
    if granting.administrators() < granting.ENOUGH:
        raise ValueError(
            "A surgeon or administrator is made by two administrators, and there is one. Make the "
            "second first: users add NAME --name NAME --role administrator@SITE"
        )
    if len({plain_name(name) for name in sign_in_names}) != granting.ENOUGH:
        raise ValueError(
            "A surgeon or administrator is made by two administrators: --by ONE --by ANOTHER"
        )
    for name in sign_in_names:
        actor, _ = signed_in(name)
        actor.require(granting.ACTION)


def set_passphrase(chosen: argparse.Namespace) -> None:
    """Set a passphrase; the person is signed out everywhere."""
    people.set_passphrase(chosen.sign_in_name, ask_passphrase())
    print(f"{chosen.sign_in_name} has a new passphrase and was signed out everywhere.")


COMMANDS = {"list": list_users, "add": add_user, "passphrase": set_passphrase}


def _role(text: str) -> RoleAt:
    role, _, site = text.partition("@")
    if not site:
        raise ValueError(f"{text!r} is not a role at a site; write it as surgeon@saltpan.")
    return RoleAt(role, site)
