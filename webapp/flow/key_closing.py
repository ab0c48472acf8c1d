"""Closing a key: its phone lost it, as its person or an administrator says, or made a new one.

A browser may clear its storage; the person then signs in with a new key while the base still
expects records of the old one. Closing it ends the waiting: what has arrived stays good, what
comes later is kept apart. A phone that made a new key itself closes the old one once everything
that it signed has arrived.
"""

from typing import NamedTuple

from webapp.flow import accounts, clock, desk_record, device_list
from webapp.flow.actor import Actor
from webapp.flow.desk_record import Draft
from webapp.flow.device_list import DeviceRow
from webapp.flow.reference import EVERYWHERE
from webapp.flow.refusal import Refused
from webapp.records.kinds import KINDS
from webapp.store import accounts as store_accounts
from webapp.store.database import writing

ADMINISTRATOR = "administrator"


class Renewal(NamedTuple):
    """A key that its own phone gave up for a new one, as the phone says."""

    kid: str
    successor: str
    """The id of the new key, of the same person."""
    signed: int
    """The last place of the old key's chain on that phone; it signs no more."""


def others_of(actor: Actor, kid: str) -> list[DeviceRow]:
    """Return the other open keys of a key's person, the one enrolled last first.

    Raises:
        NotFound: no such key that this person sees.
    """
    this = device_list.find(actor, kid)
    found = [
        row
        for row in device_list.listing(actor)
        if row.user_id == this.user_id and row.kid != kid and row.may_still_send
    ]
    return sorted(found, key=lambda row: (row.enrolled_at, row.kid), reverse=True)


def perhaps_replaced(actor: Actor) -> list[DeviceRow]:
    """Return the open keys that a newer one of the same phone seems to have followed.

    A phone closes its old key itself. After an older copy of the database was put back that may be
    lost, and the key would be open to whoever has it: the same person has a newer open key under
    the same name, and this one was not heard from since that was enrolled.
    """
    is_open = [row for row in device_list.listing(actor) if row.may_still_send]
    return [row for row in is_open if any(_follows(newer, row) for newer in is_open)]


def _follows(newer: DeviceRow, row: DeviceRow) -> bool:
    same_phone = (newer.user_id, newer.label) == (row.user_id, row.label)
    return same_phone and newer.enrolled_at > max(row.enrolled_at, row.last_heard or "")


def may_close(actor: Actor, device: DeviceRow) -> bool:
    """Say whether this person may close this key."""
    is_theirs = device.user_id == actor.user_id or actor.has_role(ADMINISTRATOR)
    return device.may_still_send and actor.may("device.close") and is_theirs


def close(actor: Actor, kid: str, passphrase: str) -> str:
    """Close a key after the last record of it that arrived; return the id of the record.

    Its sessions end. The person's newest other key is named as its successor.

    Raises:
        NotFound: no such key that this person sees.
        Refused: somebody else's, revoked or closed already, or a wrong passphrase.
    """
    device = _closable(actor, kid)
    accounts.confirm(actor, passphrase)
    with writing():
        newer = [row.kid for row in others_of(actor, kid)]
        return _close(actor, device, "cleared", newer[0] if newer else None)


def renew(actor: Actor, said: Renewal, passphrase: str) -> str:
    """Close a key whose phone made a new one; return the id of the record.

    Nothing may be under way: whatever the phone signed with the old key has to be here first.

    Raises:
        NotFound: no such key, or no such successor, that this person sees.
        Refused: somebody else's, ended already, records of it still to come, no open key of the
            same person to follow it, or a wrong passphrase.
    """
    device, successor = _closable(actor, said.kid), device_list.find(actor, said.successor)
    follows = successor.kid != device.kid and successor.user_id == device.user_id
    if device.user_id != actor.user_id or not follows or not successor.may_still_send:
        raise Refused("device.not_own", "A key gives way to another open key of the same person.")
    accounts.confirm(actor, passphrase)
    with writing():
        if device_list.find(actor, said.kid).sent < said.signed:
            raise Refused(
                "device.unsent",
                "Records that the old key signed have not arrived yet. Send them first; then it "
                "is closed.",
            )
        return _close(actor, device, "rotated", successor.kid)


def _closable(actor: Actor, kid: str) -> DeviceRow:
    """Return a key that this person may close. Raises: NotFound, Refused."""
    actor.require("device.close")
    device = device_list.find(actor, kid)
    if not device.may_still_send:
        raise Refused("device.ended", "This key was revoked or closed already.")
    if not may_close(actor, device):
        raise Refused("device.not_own", "A key is closed by its own person or an administrator.")
    return device


def _close(actor: Actor, device: DeviceRow, why: str, successor: str | None) -> str:
    body = {
        "key": device.kid,
        # Read again inside the transaction: a record may have arrived while the page was open.
        "last_seq": device_list.find(actor, device.kid).sent,
        "why": why,
        "successor": successor,
    }
    store_accounts.end_sessions_of_device(device.kid, clock.seconds())
    return desk_record.write(actor, Draft("key.closed", EVERYWHERE, _role(actor), body))


def _role(actor: Actor) -> str:
    """Return in which role somebody closes a key: as administrator where they are one."""
    held = [role for role in KINDS["key.closed"].roles if actor.has_role(role)]
    return ADMINISTRATOR if ADMINISTRATOR in held else held[0]
