"""The rules for the key that signed a record: confirmed, not revoked, its chain not closed.

What counts is the order of receipt here, never the clock of the phone.
"""

from typing import Any

from webapp.flow.refusal import Refused
from webapp.store.devices import CLOSED, REVOKED, WAITING, Device

WAITS = "key.waiting"
"""The code of a record that is taken in by itself once its key is confirmed."""


def check(payload: dict[str, Any], device: Device) -> None:
    """Refuse a record of a key that has no authority now; it is kept apart."""
    if device.state == REVOKED:
        raise Refused(
            "key.revoked",
            "This device's key was revoked before the record arrived. It is kept apart, not used: "
            "enter it again from an enrolled device.",
        )
    if device.state == CLOSED and payload["seq"] > device.closed_seq:
        raise Refused(
            "key.closed",
            f"This device's key was closed after {device.closed_seq} records, before this one "
            "arrived. It is kept apart, not used: sign in with the network, then enter it again.",
        )
    if device.state == WAITING:
        raise Refused(
            WAITS,
            "This phone's key waits for an administrator to compare its eight words. The record is "
            "kept apart and taken in by itself once that is done.",
        )
