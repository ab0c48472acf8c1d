"""Devices: enrolling a phone's key, when each was last heard from, and revoking one."""

from datetime import datetime
from typing import NamedTuple

from webapp.flow import clock
from webapp.flow.actor import Actor
from webapp.flow.refusal import NotFound, Refused
from webapp.records.envelope import from_base64url, to_base64url
from webapp.records.errors import BadRecord
from webapp.records.signing import key_id, load_public_key
from webapp.store import accounts
from webapp.store import devices as store
from webapp.store.database import writing

HEARD_EVERY_S = 30
"""A device that keeps calling is noted at most this often, to save writes [s]."""


class DeviceRow(NamedTuple):
    """One enrolled key, as lists show it."""

    kid: str
    user_id: str
    name: str
    label: str
    sites: tuple[str, ...]
    enrolled_at: str
    last_heard: str | None
    hours_silent: int | None
    """Whole hours since last heard, None when never heard after enrolment."""
    revoked_at: str | None


def enrol(actor: Actor, spki: str, label: str) -> str:
    """Keep a phone's public key (base64url SPKI) for this person and return its key id.

    Raises:
        Refused: not a P-256 key, somebody else's, the label cannot be read, or the person has no
            clinical role.
    """
    if not actor.may("device.enrol"):
        raise Refused("role.missing", "Only people who write records enrol a device.")
    # It is printed on orders: nothing in it may be hidden or turn the text around it.
    if not label.strip() or not label.isprintable():
        raise Refused("device.label", "The device needs a name that can be read.", "label")
    try:
        data = from_base64url(spki, "spki")
        load_public_key(data)
    except BadRecord as bad:
        raise Refused("device.bad_key", bad.message, "spki") from bad
    kid = key_id(data)
    known = store.find(kid)
    if known and (known.user != actor.user_id or known.revoked_at):
        raise Refused("device.taken", "This key belongs to somebody else, or was revoked.")
    with writing():
        if known:
            store.relabel(kid, label)
        else:
            store.add(kid, data, actor.user_id, label, clock.instant())
    return kid


def bind_session(session_id: str, kid: str) -> None:
    """Note that this session runs on the device of this key."""
    accounts.bind_device(session_id, kid)


def heard_from(actor: Actor, kid: str) -> None:
    """Note that this person's device has just called; another's key is passed over."""
    device = store.find(kid)
    if device is None or device.user != actor.user_id:
        return
    last = device.last_heard
    if last is None or (clock.utc_now() - _moment(last)).total_seconds() >= HEARD_EVERY_S:
        store.heard_from({kid}, clock.instant())


def listing(actor: Actor) -> list[DeviceRow]:
    """Return the devices of people who share a site with this person, silent longest first."""
    names = accounts.names()
    own = actor.sites()
    sees_all = actor.may("account.read")
    rows = []
    sites_by_user = _sites_by_user()
    for device in store.everything():
        sites = sites_by_user.get(device.user, ())
        if device.user != store.DESK and (sees_all or own.intersection(sites)):
            rows.append(_row(device, names.get(device.user, device.user), sites))
    return sorted(rows, key=lambda row: (row.revoked_at is not None, row.last_heard or "", row.kid))


def revoke(actor: Actor, kid: str) -> None:
    """Refuse every record of this key that arrives from now on; administrators only."""
    actor.require("device.write")
    device = store.find(kid)
    if device is None:
        raise NotFound("device")
    if device.user == store.DESK:
        raise Refused("device.desk", "The desk's own key cannot be revoked here.")
    store.revoke(kid, clock.instant())


def keys() -> list[dict[str, object]]:
    """Return every public key, so that a phone can check what others signed."""
    names = accounts.names()
    return [
        {
            "kid": device.kid,
            "spki": to_base64url(bytes(device.spki)),
            "user": device.user,
            "name": names.get(device.user, device.label),
            "label": device.label,
            "revoked": int(device.revoked_at is not None),
        }
        for device in store.everything()
    ]


def _sites_by_user() -> dict[str, tuple[str, ...]]:
    return {
        account.user_id: tuple(sorted({site for _, site in account.roles}))
        for account in accounts.everyone()
    }


def _row(device: store.Device, name: str, sites: tuple[str, ...]) -> DeviceRow:
    silent = clock.utc_now() - _moment(device.last_heard) if device.last_heard else None
    return DeviceRow(
        device.kid, device.user, name, device.label, sites, device.enrolled_at,
        device.last_heard, int(silent.total_seconds() // 3600) if silent else None,
        device.revoked_at,
    )  # fmt: skip


def _moment(instant: str) -> datetime:
    return datetime.fromisoformat(instant)
