"""Giving a key its authority and taking it away: by people, each signing for it.

A key counts once an administrator who sees the person has compared its words with the phone. One
person takes it away, since that must be quick, and nobody gives it back.
"""

from typing import NamedTuple

from webapp.flow import accounts, clock, desk_record, device_list, judging_again
from webapp.flow.actor import Actor
from webapp.flow.desk_record import Draft
from webapp.flow.reference import EVERYWHERE
from webapp.flow.refusal import NotFound, Refused
from webapp.store import accounts as store_accounts
from webapp.store import devices as store
from webapp.store.database import writing
from webapp.store.devices import Device


class Revocation(NamedTuple):
    """Why a key is revoked, as the person at the desk says."""

    why: str
    """A choice of the kind ``key.revoked``."""
    suspected_since: str | None
    """Since when it may have been in other hands (instant); None where nobody else had it."""


def confirm(actor: Actor, kid: str, passphrase: str) -> int:
    """Say that the phone's words were compared; return how many records that waited came in.

    Raises:
        NotFound: no such key.
        Refused: no administrator, one's own key, it does not wait, or a wrong passphrase.
    """
    actor.require("device.confirm")
    device = _find(actor, kid)
    if device.user == actor.user_id:
        raise Refused("device.own", "Another administrator confirms your own phone.")
    if device.state != store.WAITING:
        raise Refused("device.not_waiting", "This key does not wait: it was settled already.")
    accounts.confirm(actor, passphrase)
    with writing():
        store.confirm(kid, actor.user_id, clock.instant())
        return judging_again.once_confirmed(kid)


def revoke(actor: Actor, kid: str, said: Revocation) -> list[str]:
    """End a key's authority, and that of later keys it vouched for; return the ids of the records.

    Its sessions end too. What arrives from now on is kept apart, whatever the phone's clock says.

    Raises:
        NotFound: no such key.
        Refused: neither administrator nor desk, or revoked already.
    """
    actor.require("device.revoke")
    role = "administrator" if actor.has_role("administrator") else "desk"
    device = _find(actor, kid)
    if device.revoked_at:
        raise Refused("device.revoked", "This key was revoked already.")
    with writing():
        return [_revoke_one(actor, role, one, said) for one in _with_heirs(device)]


def revoke_confirmed(actor: Actor, kid: str, said: Revocation, passphrase: str) -> None:
    """Revoke as ``revoke`` does, once the passphrase was given again.

    Raises:
        Refused: as ``revoke``, or the passphrase is wrong (field ``passphrase``).
    """
    accounts.confirm(actor, passphrase)
    revoke(actor, kid, said)


def _revoke_one(actor: Actor, role: str, device: Device, said: Revocation) -> str:
    body = {"key": device.kid, "suspected_since": said.suspected_since, "why": said.why}
    store_accounts.end_sessions_of_device(device.kid, clock.seconds())
    return desk_record.write(actor, Draft("key.revoked", EVERYWHERE, role, body))


def _with_heirs(device: Device) -> list[Device]:
    """Return this key and, one after another, those that only it or its heirs vouched for."""
    found = [device]
    for one in found:
        found += [heir for heir in store.vouched_for_by(one.kid) if not heir.revoked_at]
    return found


def _find(actor: Actor, kid: str) -> Device:
    """Return a key that this person sees on the list, where the desk's own is not."""
    device_list.find(actor, kid)
    device = store.find(kid)
    if device is None:
        raise NotFound("device")
    return device
