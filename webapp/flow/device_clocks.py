"""The devices' clocks for people to know of: which is off now, and which was."""

from typing import NamedTuple

from webapp.flow import clock, device_list, devices
from webapp.flow.actor import Actor
from webapp.flow.clock_flags import AHEAD_S, seconds_between
from webapp.store import clocks
from webapp.store.database import writing

NOTE_FROM_S = 5
"""A difference that changed by less is not written again [s]."""


class ClockRow(NamedTuple):
    """A device whose clock is off, or whose records say that it was."""

    name: str
    label: str
    skew_s: int
    """The device's clock minus the base's, 0 where it is within two minutes [s]."""
    heard_at: str | None
    ahead: int
    back: int
    old: int
    """How many of its records came from the future, ran back, or are from long ago."""


def note_skew(actor: Actor, kid: str, wall: str) -> None:
    """Note what this person's device says its clock is; what can't be read is passed over."""
    try:
        skew_s = seconds_between(clock.instant(), wall)
    except (ValueError, TypeError):
        return
    if not devices.is_of(actor, kid):
        return
    known = next((one.skew_s for one in clocks.everything() if one.kid == kid), None)
    if known is None or abs(known - skew_s) >= NOTE_FROM_S:
        with writing():
            clocks.keep_skew(kid, skew_s, clock.instant())


def listing(actor: Actor) -> list[ClockRow]:
    """Return the devices that this person sees whose clock is or was off, worst first."""
    known = {one.kid: one for one in clocks.everything()}
    flags = clocks.flags()
    rows = []
    for device in device_list.listing(actor):
        one = known.get(device.kid)
        skew_s = (one.skew_s or 0) if one else 0
        skew_s = skew_s if abs(skew_s) > AHEAD_S else 0
        said = [row.flag for row in flags if row.kid == device.kid]
        counts = [said.count(flag) for flag in ("ahead", "back", "old")]
        if skew_s or said:
            heard = one.heard_at if one else None
            rows.append(ClockRow(device.name, device.label, skew_s, heard, *counts))
    return sorted(rows, key=lambda row: -abs(row.skew_s))
