"""Closing a key whose phone lost it: its person says so, or an administrator.

A browser may clear its storage; the person then signs in with a new key while the base still
expects records of the old one. Closing it ends the waiting: what has arrived stays good, what
comes later is kept apart.
"""

from webapp.flow import accounts, clock, desk_record, device_list
from webapp.flow.actor import Actor
from webapp.flow.desk_record import Draft
from webapp.flow.device_list import DeviceRow
from webapp.flow.reference import EVERYWHERE
from webapp.flow.refusal import Refused
from webapp.store import accounts as store_accounts
from webapp.store.database import writing

ADMINISTRATOR = "administrator"


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
    actor.require("device.close")
    device = device_list.find(actor, kid)
    if not device.may_still_send:
        raise Refused("device.ended", "This key was revoked or closed already.")
    if not may_close(actor, device):
        raise Refused("device.not_own", "A key is closed by its own person or an administrator.")
    accounts.confirm(actor, passphrase)
    with writing():
        return _close(actor, device)


def _close(actor: Actor, device: DeviceRow) -> str:
    newer = [row.kid for row in others_of(actor, device.kid)]
    body = {
        "key": device.kid,
        # Read again inside the transaction: a record may have arrived while the page was open.
        "last_seq": device_list.find(actor, device.kid).sent,
        "why": "cleared",
        "successor": newer[0] if newer else None,
    }
    store_accounts.end_sessions_of_device(device.kid, clock.seconds())
    return desk_record.write(actor, Draft("key.closed", EVERYWHERE, _role(actor), body))


def _role(actor: Actor) -> str:
    """Return in which role somebody closes a key: as administrator where they are one."""
    held = [one.role for one in actor.roles if one.role != "auditor"]
    return ADMINISTRATOR if ADMINISTRATOR in held else held[0]
