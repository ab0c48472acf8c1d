"""What is no longer trusted: keys that were in other hands, and cores that were recalled."""

from collections import namedtuple

from webapp.core.dates import instant_ms
from webapp.core.entry import Entry
from webapp.core.errors import BadInput
from webapp.core.finding import Finding, fixed_stop

# id: of the record that says so. suspected_since: instant from which the key may have been in other
# hands, None where never.
RevokedKey = namedtuple("RevokedKey", ("id", "key", "suspected_since"))
RecalledCore = namedtuple("RecalledCore", ("id", "core", "why"))


def revoked_of(entries: list[Entry]) -> list[dict[str, object]]:
    """Return the revoked keys among reference records, as they cross the door."""
    return [
        {"id": one.id, "key": one.body["key"], "suspected_since": one.body["suspected_since"]}
        for one in entries
        if one.kind == "key.revoked"
    ]


def recalled_of(entries: list[Entry]) -> list[dict[str, object]]:
    """Return the recalled cores among reference records, as they cross the door."""
    return [
        {"id": one.id, "core": one.body["core"], "why": one.body["why"]}
        for one in entries
        if one.kind == "core.recalled"
    ]


def keys_at_door(value: object) -> list[RevokedKey]:
    """Return the revoked keys of a request; none where it does not speak of them."""
    return [
        RevokedKey(one["id"], one["key"], one["suspected_since"])
        for one in listed(value, "revoked_keys")
    ]


def cores_at_door(value: object) -> list[RecalledCore]:
    """Return the recalled cores of a request; none where it does not speak of them."""
    return [
        RecalledCore(one["id"], one["core"], one["why"]) for one in listed(value, "recalled_cores")
    ]


def listed(value: object, name: str) -> list[dict[str, str]]:
    """Return a list that may be absent. Raises: BadInput when it is anything else."""
    if value is None:
        return []
    if not isinstance(value, list):
        raise BadInput("reference", name + " must be a list")
    return value


def doubts(
    revoked: list[RevokedKey], recalled: list[RecalledCore], decision: Entry
) -> list[dict[str, str]]:
    """Return why a request or an approval is not trusted any more, in sentences.

    A phone that was in other hands says itself when it signed, and could say otherwise: the server
    therefore orders from no approval of a revoked key, whatever its time.
    """
    found = []
    for key in revoked:
        if is_suspect(key, decision):
            found.append({
                "code": "key_suspect",
                "text": "The phone that signed this may have been in other hands then, and its key"
                " was revoked.",
                "record": key.id,
            })  # fmt: skip
    for one in recalled:
        if one.core == decision.body["shown"]["core"]:
            found.append({
                "code": "core_recalled",
                "text": "The calculation that made this was recalled: " + one.why,
                "record": one.id,
            })  # fmt: skip
    return found


def is_suspect(revoked: RevokedKey, decision: Entry) -> bool:
    """Return whether a record says that it was signed when its key was in other hands."""
    if revoked.key != decision.key or revoked.suspected_since is None:
        return False
    return instant_ms(decision.wall) >= instant_ms(revoked.suspected_since)


def is_doubted(revoked: list[RevokedKey], entry: Entry) -> bool:
    """Return whether any revoked key makes a record one that may not be its author's."""
    return any([is_suspect(key, entry) for key in revoked])


def recalled_stop(recalled: list[RecalledCore], core: str) -> list[Finding]:
    """Return the stop of a device whose own core was recalled: it plans nothing (I12)."""
    return [
        fixed_stop(
            "core.recalled", "core", "This calculation was recalled", one.why,
            "Load the newest app with the network, then open the eye again.", [one.id],
        )
        for one in recalled
        if one.core == core
    ]  # fmt: skip
