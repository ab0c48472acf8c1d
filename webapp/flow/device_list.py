"""The list of devices: whose, how each key stands, when it was last heard from, what it sent."""

from datetime import datetime
from typing import NamedTuple

from webapp.flow import clock
from webapp.flow.actor import Actor
from webapp.flow.refusal import NotFound
from webapp.records.fingerprint import words_of
from webapp.store import accounts, chains, quarantine
from webapp.store import devices as store
from webapp.store.devices import Device


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
    state: str
    """``waiting``, ``confirmed``, ``revoked`` or ``closed``."""
    confirmed_by: str
    """Who compared the words, empty where nobody did."""
    revoked_at: str | None
    suspected_since: str | None
    closed_at: str | None
    sent: int
    """How many records of its chain have arrived, stored or kept apart."""
    apart: int
    """How many records of it are kept apart."""

    @property
    def words(self) -> list[str]:
        """The eight words that its phone shows too."""
        return words_of(self.kid)

    @property
    def may_still_send(self) -> bool:
        """Say whether records of it are still expected."""
        return self.state in (store.CONFIRMED, store.WAITING)


def listing(actor: Actor) -> list[DeviceRow]:
    """Return the devices of people who share a site with this person, silent longest first."""
    return sorted(_seen_by(actor, store.everything()), key=_silent_longest_first)


def find(actor: Actor, kid: str) -> DeviceRow:
    """Return one device that this person sees. Raises: NotFound."""
    device = store.find(kid)
    rows = _seen_by(actor, [device] if device else [])
    if not rows:
        raise NotFound("device")
    return rows[0]


def _seen_by(actor: Actor, devices: list[Device]) -> list[DeviceRow]:
    """Return those of these devices that this person sees."""
    own, sees_all = actor.sites(), actor.may("account.read")
    sites = accounts.sites_by_user()
    shown = [
        device
        for device in devices
        if device.user != store.DESK and (sees_all or own.intersection(sites.get(device.user, ())))
    ]
    return _rows(shown, sites)


def _rows(devices: list[Device], sites: dict[str, tuple[str, ...]]) -> list[DeviceRow]:
    names, apart = accounts.names(), quarantine.count_by_key()
    heads = chains.heads({device.kid for device in devices})
    return [
        DeviceRow(
            device.kid, device.user, names.get(device.user, device.user), device.label,
            sites.get(device.user, ()), device.enrolled_at, device.last_heard,
            _hours_silent(device), device.state, names.get(device.confirmed_by or "", ""),
            device.revoked_at, device.suspected_since, device.closed_at,
            heads.get(device.kid, (0, ""))[0], apart.get(device.kid, 0),
        )
        for device in devices
    ]  # fmt: skip


def _silent_longest_first(row: DeviceRow) -> tuple[bool, bool, str, str]:
    """Order what waits for somebody first, then by silence, and last what sends no more."""
    return (not row.may_still_send, row.state != store.WAITING, row.last_heard or "", row.kid)


def _hours_silent(device: Device) -> int | None:
    if not device.last_heard:
        return None
    silent = clock.utc_now() - datetime.fromisoformat(device.last_heard)
    return int(silent.total_seconds() // 3600)
