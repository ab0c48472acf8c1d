"""One stored record as the core reads it: the signed payload plus the server's receipt number."""

from collections import namedtuple

from webapp.core.errors import BadInput

# received: the server's number of the record at its site, None while only a phone has it. It and
# ``wall`` are for display: no plan and no decision about a lens depends on either.
Entry = namedtuple(
    "Entry",
    (
        "id", "kind", "person", "eye", "site", "author", "role", "key", "seq", "wall",
        "replaces", "reason", "body", "received",
    ),
)  # fmt: skip

PAYLOAD_FIELDS = ("kind", "person", "eye", "site", "author", "role", "key", "seq", "wall",
                  "replaces", "reason", "body")  # fmt: skip


def entries_of(raw: object) -> list[Entry]:
    """Return each record once, ordered by its id, so that the order of arrival cannot matter.

    Raises:
        BadInput: the list or a record in it does not have the shape of a stored record.
    """
    if not isinstance(raw, list):
        raise BadInput("entries", "entries must be a list of stored records")
    by_id: dict[str, Entry] = {}
    for item in raw:
        found = entry_of(item)
        if item.get("state", "ok") != "ok":
            continue  # Set aside by the server: it influences nothing (I24).
        kept = by_id.get(found.id)
        # A copy that came back from the server carries its number; a local copy does not.
        if kept is None or kept.received is None:
            by_id[found.id] = found
    return [by_id[name] for name in sorted(by_id)]


def entry_of(item: object) -> Entry:
    """Return one record. Raises: BadInput when its shape is wrong."""
    if not isinstance(item, dict) or not isinstance(item.get("id"), str):
        raise BadInput("entries", "each entry must have an id and a payload")
    payload = item.get("payload")
    if not isinstance(payload, dict) or not isinstance(payload.get("body"), dict):
        raise BadInput("entries", "record " + item["id"][:8] + " has no payload with a body")
    absent = [field for field in PAYLOAD_FIELDS if field not in payload]
    if absent:
        raise BadInput("entries", "record " + item["id"][:8] + " lacks " + ", ".join(absent))
    values = [payload[field] for field in PAYLOAD_FIELDS]
    return Entry(*([item["id"]] + values + [item.get("received")]))


def in_display_order(entries: list[Entry]) -> list[Entry]:
    """Return records by their author's clock, then id: for showing, never for deciding."""
    return sorted(entries, key=lambda entry: (entry.wall, entry.id))
