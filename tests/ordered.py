"""What an order on record says, read from its own record."""

import json
from typing import Any

from webapp.store import journal


def lens_of(order_id: str) -> dict[str, Any]:
    """Return the lens of an order, as it was ordered."""
    entry = journal.entries_by_id([order_id])[order_id]
    lens: dict[str, Any] = json.loads(entry.payload)["body"]["lens"]
    return lens
