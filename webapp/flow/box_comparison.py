"""A box beside its order by the core: the one place here that asks, for pages and for admission."""

import json
from collections.abc import Callable
from typing import Any, NamedTuple

from webapp.core.box.products import listed
from webapp.core.errors import BadInput
from webapp.flow import calculation

Answer = dict[str, Any]
PayloadOf = Callable[[str], bytes]


class Ordered(NamedTuple):
    """What a box is held against."""

    lens: dict[str, Any]
    products: list[dict[str, object]]
    """The product numbers of the catalogue by which the order was approved; it may list none."""


def ordered(order_id: str, payload_of: PayloadOf) -> Ordered:
    """Return what was ordered. ``payload_of`` returns a stored record's payload by its id."""
    order = _body(order_id, payload_of)
    catalogue = _body(order["approval"], payload_of)["shown"]["catalogue"]
    return Ordered(order["lens"], listed(_body(catalogue, payload_of)["models"]))


def _body(record_id: str, payload_of: PayloadOf) -> dict[str, Any]:
    body: dict[str, Any] = json.loads(payload_of(record_id))["body"]
    return body


def compare(order: Ordered, read: dict[str, Any], days: list[str]) -> Answer:
    """Return the core's answer about one box.

    Args:
        order: what was ordered.
        read: ``code``, ``code_by``, ``first`` and ``second``, as a check records them.
        days: what each clock says today is.

    Raises:
        BadInput: the code, or something read, cannot be used.
    """
    asked = {name: read[name] for name in ("code", "first", "second")}
    # Absent from records that were made before it was kept.
    asked["code_by"] = read.get("code_by")
    return calculation.ask_for_input({"do": "box", **order._asdict(), "days": days, **asked})


def of_record(order: Ordered, payload: dict[str, Any]) -> Answer:
    """Return the same for a recorded check, by the clocks of its day. Raises: as ``compare``."""
    return compare(order, payload["body"], days_of(payload))


def of_theatre(
    order: Ordered, label: dict[str, Any], payload: dict[str, Any], today: str | None = None
) -> Answer:
    """Return a recorded check in theatre beside the order and the released label.

    Args:
        order: what was ordered.
        label: the body of the check of the box that it names.
        payload: of the check in theatre.
        today: what this server's clock says, where that counts too.

    Raises:
        BadInput: the code, or something read, cannot be used.
    """
    asked = {"do": "theatre_box", **order._asdict(), "eye": payload["eye"], "label": label}
    days = [*days_of(payload), *([today] if today else [])]
    return calculation.ask_for_input({**asked, "read": payload["body"], "days": days})


def days_of(payload: dict[str, Any]) -> list[str]:
    """Return what the server's clock and the browser's said when a check was made."""
    device_day = payload["body"]["device_day"]
    return [payload["wall"][:10], *([device_day] if device_day else [])]


__all__ = ["BadInput", "Ordered", "compare", "days_of", "of_record", "of_theatre", "ordered"]
