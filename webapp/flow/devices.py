"""Devices: enrolling a phone's key, and noting when each was last heard from."""

from datetime import datetime
from typing import NamedTuple

from webapp.flow import clock
from webapp.flow.actor import Actor
from webapp.flow.refusal import Refused
from webapp.records.envelope import from_base64url, to_base64url
from webapp.records.errors import BadRecord
from webapp.records.signing import key_id, load_public_key
from webapp.store import accounts
from webapp.store import devices as store
from webapp.store.database import writing

HEARD_EVERY_S = 30
"""A device that keeps calling is noted at most this often, to save writes [s]."""


class KeyState(NamedTuple):
    """How a key stands."""

    state: str
    """``waiting``, ``confirmed``, ``revoked``, ``closed``, or ``unknown``: never enrolled here."""
    since: str | None
    """When that began, None for an unknown key."""


def enrol(actor: Actor, spki: str, label: str, at_once: bool = False) -> str:
    """Keep a phone's public key (base64url SPKI) for this person and return its key id.

    What it signs is kept apart until somebody has compared its words.

    Args:
        actor: who has just signed in on that phone.
        spki: the public key.
        label: what lists call the phone.
        at_once: whether the key counts without anybody comparing its words: for the demo.

    Raises:
        Refused: not a P-256 key, somebody else's, revoked or closed, the label cannot be read, or
            the person has no clinical role.
    """
    if not actor.may("device.enrol"):
        raise Refused("role.missing", "Only people who write records enrol a device.")
    # It is printed on orders: nothing in it may be hidden or turn the text around it.
    if not label.strip() or not label.isprintable():
        raise Refused("device.label", "The device needs a name that can be read.", "label")
    data = public_key(spki)
    kid = key_id(data)
    with writing():
        _keep(actor, kid, data, label)
        if at_once:
            store.confirm(kid, None, clock.instant())
    return kid


def public_key(spki: str) -> bytes:
    """Return the bytes of a public key in base64url. Raises: Refused, unless it is a P-256 key."""
    try:
        data = from_base64url(spki, "spki")
        load_public_key(data)
    except BadRecord as bad:
        raise Refused("device.bad_key", bad.message, "spki") from bad
    return data


def _keep(actor: Actor, kid: str, data: bytes, label: str) -> None:
    known = store.find(kid)
    if known is None:
        store.add(kid, data, actor.user_id, label, clock.instant())
    elif known.user != actor.user_id or known.state in (store.REVOKED, store.CLOSED):
        raise Refused(
            "device.taken", "This key belongs to somebody else, or was revoked or closed."
        )
    else:
        store.relabel(kid, label)


def bind_session(session_id: str, kid: str) -> None:
    """Note that this session runs on the device of this key."""
    accounts.bind_device(session_id, kid)


def is_of(actor: Actor, kid: str) -> bool:
    """Say whether a key is this person's own."""
    device = store.find(kid)
    return device is not None and device.user == actor.user_id


def heard_from(actor: Actor, kid: str) -> None:
    """Note that this person's device has just called; another's key is passed over."""
    device = store.find(kid)
    if device is None or device.user != actor.user_id:
        return
    last = device.last_heard
    if last is None or (clock.utc_now() - _moment(last)).total_seconds() >= HEARD_EVERY_S:
        store.heard_from({kid}, clock.instant())


def state_of(kid: str) -> KeyState:
    """Return how a key stands, by its id alone: a phone whose session ended asks too."""
    device = store.find(kid)
    if device is None:
        return KeyState("unknown", None)
    began = {
        store.REVOKED: device.revoked_at,
        store.CLOSED: device.closed_at,
        store.CONFIRMED: device.confirmed_at,
        store.WAITING: device.enrolled_at,
    }
    return KeyState(device.state, began[device.state])


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


def _moment(instant: str) -> datetime:
    return datetime.fromisoformat(instant)
