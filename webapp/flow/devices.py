"""Devices: enrolling a phone's key, when each was last heard from, and revoking one."""

from typing import NamedTuple

from webapp.flow.actor import Actor


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
    """Keep a phone's public key (base64url SPKI) for this person and return its key id."""
    raise NotImplementedError


def listing(actor: Actor) -> list[DeviceRow]:
    """Return the devices of people who share a site with this person, silent longest first."""
    raise NotImplementedError


def revoke(actor: Actor, kid: str) -> None:
    """Refuse every record of this key that arrives from now on; administrators only."""
    raise NotImplementedError
