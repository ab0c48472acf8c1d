"""What the fold says of one eye's visits, as lists look for it."""

from collections.abc import Mapping, Sequence
from typing import Any

CALLING = ("lost", "overdue", "due")
"""How an eye can stand with its visits so that somebody should call, the most pressing first."""


def calling_for(surgeries: Sequence[Mapping[str, Any]]) -> Mapping[str, Any] | None:
    """Return the schedule of an eye whose visit is due or late; None for another eye.

    Where two surgeries contradict each other, the one that presses more speaks.
    """
    found = [one["schedule"] for one in surgeries if one["schedule"]["state"] in CALLING]
    return min(found, key=lambda one: CALLING.index(one["state"]), default=None)


def place_of(schedule: Mapping[str, Any]) -> str:
    """Return what eyes that stand alike are listed by: a missed day that was agreed, then the day.

    Lists end somewhere, and somebody said that this day matters: who was told to come yesterday is
    not to stand behind fifty yearly visits (H37).
    """
    missed = schedule["agreed_missed"]
    return f"0 {missed}" if missed else f"1 {schedule['due']}"
