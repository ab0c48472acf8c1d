"""A box beside its order by the core: the one place here that asks, for pages and for admission."""

from typing import Any

from webapp.core.errors import BadInput
from webapp.flow import calculation

Answer = dict[str, Any]


def compare(lens: dict[str, Any], read: dict[str, Any], days: list[str]) -> Answer:
    """Return the core's answer about one box.

    Args:
        lens: as it was ordered.
        read: ``code``, ``first`` and ``second``, as a check records them.
        days: what each clock says today is.

    Raises:
        BadInput: the code, or something read, cannot be used.
    """
    asked = {name: read[name] for name in ("code", "first", "second")}
    return calculation.ask_for_input({"do": "box", "lens": lens, "days": days, **asked})


def of_record(lens: dict[str, Any], payload: dict[str, Any]) -> Answer:
    """Return the same for a recorded check, by the clocks of its day. Raises: as ``compare``."""
    return compare(lens, payload["body"], days_of(payload))


def of_theatre(lens: dict[str, Any], checked: dict[str, Any], payload: dict[str, Any]) -> Answer:
    """Return a recorded check in theatre beside the order and the released label.

    Args:
        lens: as it was ordered.
        checked: the body of the check of the box that it names.
        payload: of the check in theatre.

    Raises:
        BadInput: the code, or something read, cannot be used.
    """
    asked = {"do": "theatre_box", "lens": lens, "eye": payload["eye"], "label": checked}
    return calculation.ask_for_input({**asked, "read": payload["body"], "days": days_of(payload)})


def days_of(payload: dict[str, Any]) -> list[str]:
    """Return what the server's clock and the browser's said when a check was made."""
    device_day = payload["body"]["device_day"]
    return [payload["wall"][:10], *([device_day] if device_day else [])]


__all__ = ["BadInput", "compare", "days_of", "of_record", "of_theatre"]
