"""Which devices have not been heard from: what lies on them has not arrived here."""

from webapp.flow import device_list
from webapp.flow.actor import Actor
from webapp.flow.device_list import DeviceRow

SILENT_H = 12


def is_silent(device: DeviceRow) -> bool:
    """Say whether a device that may still send has not been heard from for half a day."""
    if not device.may_still_send:
        return False
    return device.hours_silent is None or device.hours_silent >= SILENT_H


def silent_devices(actor: Actor, site: str = "") -> list[DeviceRow]:
    """Return the silent devices that this person sees, of one site if it is named."""
    seen = device_list.listing(actor)
    return [one for one in seen if is_silent(one) and (not site or site in one.sites)]
