"""What must be true of an eye before its lens is ordered, each with a sentence."""

from typing import Any, NamedTuple

from webapp.flow import duplicates, recheck
from webapp.store import accounts, devices, installation
from webapp.store.journal import Entry
from webapp.store.projections import orders


class Condition(NamedTuple):
    """One of the things that must be true before an order."""

    ok: bool
    text: str
    code: str
    """Stable code of the refusal when it is not."""


def all_of(fold: dict[str, Any], entries: list[Entry], eye: str) -> list[Condition]:
    """Return the conditions for ordering the lens of this eye's approval.

    Args:
        fold: the core's fold of the person's records, computed from ``entries``.
        entries: every stored record of the person.
        eye: ``R`` or ``L``.
    """
    approval = fold["eyes"][eye]["approval"]
    stored = {entry.id: entry for entry in entries}
    entry = stored.get(approval["id"]) if approval else None
    if approval is None or entry is None:
        nothing = Condition(False, "There is no approval for this eye.", "order.no_approval")
        return [nothing, *_unknown(), _no_live_order(entries, eye), _no_double(entries)]
    return [
        _live(fold["eyes"][eye]),
        _approver_allowed(entry),
        _key_good(entry),
        _plan_agrees(entry),
        _no_live_order(entries, eye),
        _no_double(entries),
    ]


def _unknown() -> list[Condition]:
    text = "Without an approval this cannot be asked."
    codes = ("order.approver", "order.key_revoked", "order.plan_differs")
    return [Condition(False, text, code) for code in codes]


def _live(this_eye: dict[str, Any]) -> Condition:
    code = "order.not_live"
    approval = this_eye["approval"]
    if approval["live"] and this_eye["state"] == "approved":
        return Condition(True, "The approval is live: nothing newer about this eye is here.", code)
    reasons = [reason["text"] for reason in approval["stale"]] or [this_eye["state_why"]]
    return Condition(False, " ".join(["The approval cannot be ordered from.", *reasons]), code)


def _approver_allowed(entry: Entry) -> Condition:
    name = accounts.names().get(entry.author, entry.author)
    place = installation.site_titles().get(entry.site, entry.site)
    held = (entry.author, "surgeon", entry.site) in accounts.roles_of({entry.author})
    text = f"{name} {'holds' if held else 'does not hold'} the role surgeon at {place} now."
    return Condition(held, text, "order.approver")


def _key_good(entry: Entry) -> Condition:
    device = devices.find(entry.kid)
    good = device is not None and device.revoked_at is None
    text = (
        "The device that signed the approval is enrolled and not revoked."
        if good
        else "The device that signed the approval was revoked. The surgeon must approve again."
    )
    return Condition(good, text, "order.key_revoked")


def _plan_agrees(entry: Entry) -> Condition:
    check = recheck.checks_of(entry.person or "").get(entry.id)
    if check is None:
        return Condition(False, "The plan has not been computed again yet.", "order.plan_differs")
    return Condition(check.is_good, check.text, "order.plan_differs")


def _no_live_order(entries: list[Entry], eye: str) -> Condition:
    people = sorted({entry.person for entry in entries if entry.person})
    live = orders.has_live(people, eye)
    text = "This eye has a live order already." if live else "This eye has no live order."
    return Condition(not live, text, "order.twice")


def _no_double(entries: list[Entry]) -> Condition:
    """Nothing is ordered while a person may be registered twice (hazard H03, invariant I17)."""
    code = "order.possible_duplicate"
    person = (entries[0].person if entries else None) or ""
    alike = [one for one in duplicates.of_person(person) if one.stops]
    if not alike:
        return Condition(True, "Nobody registered here is strikingly like this person.", code)
    first = alike[0]
    words = ", ".join(first.reasons)
    said = (
        "was said to be the same person; until the two are put right nothing is ordered"
        if first.answer == "same"
        else "may be the same person; say on the page of both eyes whether they are"
    )
    return Condition(False, f"Somebody registered at {first.site_title} {said} ({words}).", code)
