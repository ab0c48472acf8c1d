"""Whether an order may exist, judged from signed payloads alone.

It shares no code with the fold: plain loops over the journal, one for each invariant, slow and
short. What it calls wrong is named by the invariant.
"""

import hashlib
import json
from typing import Any

Payload = dict[str, Any]
Records = dict[str, Payload]
SHARED = ("person.registered", "history.answers", "history.health")
DECIDED = ("plan.approval", "plan.decline")


def out(records: Records, record_id: str) -> bool:
    """Return whether a record was corrected or withdrawn by whoever may do so."""
    mine = records[record_id]
    for other in records.values():
        same = other["author"] == mine["author"]
        aims_at = other["body"].get("target")
        if other["kind"] == "record.void" and aims_at == record_id and same:
            return True
        if other["kind"] == "plan.withdrawal" and aims_at == record_id and same:
            return True
        may = same or mine["kind"] in SHARED
        if other["replaces"] == record_id and other["kind"] == mine["kind"] and may:
            return True
    return False


def live(records: Records, kind: str) -> dict[str, Payload]:
    """Return the records of a kind that nothing took out."""
    found = {name: one for name, one in records.items() if one["kind"] == kind}
    return {name: one for name, one in found.items() if not out(records, name)}


def in_other_hands(records: Records, one: Payload) -> bool:
    """Return whether a record says that it was signed when its key was in other hands."""
    return any(
        each["kind"] == "key.revoked"
        and each["body"]["key"] == one["key"]
        and each["body"]["suspected_since"] is not None
        and each["body"]["suspected_since"] <= one["wall"]
        for each in records.values()
    )


def evidence(records: Records, eye: str) -> set[str]:
    """Return what a plan of this eye must rest on."""
    return {
        name
        for name, one in records.items()
        if (one["kind"] in SHARED
            or (one["kind"].startswith("reading.") and one["kind"] != "reading.unread"
                and one["eye"] == eye))
        and not out(records, name)
    }  # fmt: skip


def digest(shown: object) -> str:
    """Return the SHA-256 of the canonical bytes of plain integers and ASCII texts."""
    text = json.dumps(shown, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def settled_against(records: Records, name: str) -> bool:
    """Return whether a third surgeon settled a contradiction and did not keep this decision."""
    for one in live(records, "decision.settled").values():
        named = one["body"]["decisions"]
        authors = {records[each]["author"] for each in named if each in records}
        third = one["role"] == "surgeon" and one["author"] not in authors
        if third and name in named and one["body"]["kept"] != name:
            return True
    return False


def own_work(records: Records, approval: Payload) -> bool:
    """Return whether an approver measured what the approval rests on, or asked for it."""
    bound = approval["body"]["shown"]["evidence"]
    authors = {records[name]["author"] for name in bound if name in records}
    authors.add(records[approval["body"]["request"]]["author"])
    return approval["author"] in authors


def valid(records: Records, name: str, in_force: tuple[str, str]) -> bool:
    """Return whether an approval could be ordered from if nothing contradicted it."""
    one = records[name]
    shown = one["body"]["shown"]
    request = one["body"]["request"]
    return (
        not out(records, name)
        and one["role"] == "surgeon"
        and not settled_against(records, name)
        and not in_other_hands(records, one)
        and request in records
        and not out(records, request)
        and not own_work(records, one)
        and one["body"]["digest"] == digest(shown)
        and set(shown["evidence"]) == evidence(records, one["eye"])
        and (shown["catalogue"], shown["limits"]) == in_force
        and not open_question(records, one)
    )


def open_question(records: Records, approval: Payload) -> bool:
    """Return whether a question on the approved request has no answer."""
    answered = {one["body"]["question"] for one in live(records, "plan.answer").values()}
    request = approval["body"]["request"]
    # Whoever asked and then approved the request, by this approval or another one, asks no more.
    later = [
        (one["key"], one["seq"])
        for one in live(records, "plan.approval").values()
        if one["body"]["request"] == request
    ]
    return any(
        one["body"]["request"] == request
        and name not in answered
        and not any(key == one["key"] and one["seq"] < seq for key, seq in later)
        for name, one in live(records, "plan.question").items()
    )


def implanted_orders(records: Records) -> set[str]:
    """Return the orders that a surgery that stands in their eye is of, each with its back-up's."""
    used = {
        one["body"]["order"]
        for one in live(records, "surgery.implanted").values()
        if records.get(one["body"]["order"], {}).get("eye") == one["eye"]
    }
    pairs = [
        {name, one["body"]["backup_of"]}
        for name, one in records.items()
        if one["kind"] == "order.placed" and one["body"].get("backup_of")
    ]
    return used.union(*(pair for pair in pairs if pair & used))


def live_orders(records: Records, eye: str) -> list[str]:
    """Return the orders of chosen lenses of an eye that were neither cancelled nor implanted."""
    ended = {one["body"]["order"] for one in records.values() if one["kind"] == "order.cancelled"}
    ended |= implanted_orders(records)
    return [
        name
        for name, one in records.items()
        if one["kind"] == "order.placed" and one["eye"] == eye and name not in ended
        and not one["body"].get("backup_of")
    ]  # fmt: skip


def wrong_with(
    records: Records, order_id: str, in_force: tuple[str, str], revoked: set[str]
) -> list[str]:
    """Return the invariants that an order breaks at the moment of being placed.

    Args:
        records: every stored record of the person, the order among them.
        order_id: the order.
        in_force: ids of the catalogue and the limits adopted last.
        revoked: ids of keys that were revoked by then.
    """
    order = records[order_id]
    name = order["body"]["approval"]
    approval = records.get(name)
    if approval is None:
        return ["I1"]
    before = {one: payload for one, payload in records.items() if one != order_id}
    shown, eye = approval["body"]["shown"], approval["eye"]
    current = (shown["catalogue"], shown["limits"]) == in_force
    signed = approval["body"]["digest"] == digest(shown) == order["body"]["digest"]
    broken = {
        "I2": len(live_orders(records, eye)) != 1,
        "I3": approval["role"] != "surgeon" or own_work(before, approval),
        "I4": not signed,
        "I7": any(out(before, one) for one in shown["evidence"]),
        "I8": approval["key"] in revoked,
        "I9 I18": contradicted(before, name, in_force),
        "I11": order["body"]["lens"] != shown["lens"],
        "I12": not current,
        "I13": out(before, name),
        "I14": bool(evidence(before, eye) - set(shown["evidence"])),
        "I16": not eye == shown["eye"] == order["eye"],
        "I1": not valid(before, name, in_force),
    }
    return [name for name, is_broken in broken.items() if is_broken]


def contradicted(records: Records, name: str, in_force: tuple[str, str]) -> bool:
    """Return whether another decision that stands says something else than this approval."""
    mine = records[name]["body"]
    for other, one in records.items():
        if other == name or one["kind"] not in DECIDED or one["eye"] != records[name]["eye"]:
            continue
        if settled_against(records, other) or out(records, other):
            continue
        if one["kind"] == "plan.decline":
            if one["role"] == "surgeon" and one["body"]["request"] == mine["request"]:
                return True
        elif (
            signed_lenses(one["body"]) != signed_lenses(mine)
            and valid(records, other, in_force)
            and not spent(records, other)
            and not is_done(records, other)
        ):
            return True
    return False


def signed_lenses(approval: Payload) -> tuple[Payload, Payload | None]:
    """Return the lens that the body of an approval signs, and its back-up."""
    return approval["shown"]["lens"], approval.get("backup")


def spent(records: Records, name: str) -> bool:
    """Return whether an approval served for an order that was cancelled."""
    ended = {one["body"]["order"] for one in records.values() if one["kind"] == "order.cancelled"}
    return any(
        order["kind"] == "order.placed" and order["body"]["approval"] == name and order_id in ended
        and not order["body"].get("backup_of")
        for order_id, order in records.items()
    )  # fmt: skip


def is_done(records: Records, name: str) -> bool:
    """Return whether the lens that was ordered from a decision lies, or lay, in the eye."""
    used = implanted_orders(records)
    return any(
        one["kind"] == "order.placed" and one["body"]["approval"] == name and order in used
        for order, one in records.items()
    )


def late_records(records: Records, order_id: str) -> set[str]:
    """Return readings and facts that the order's approval did not know, and no answer has seen."""
    order = records[order_id]
    shown = records[order["body"]["approval"]]["body"]["shown"]
    return evidence(records, order["eye"]) - set(shown["evidence"]) - answered(records, order_id)


def answered(records: Records, order_id: str) -> set[str]:
    """Return what surgeons have seen who kept an order, and its back-up's, against it."""
    order_id = records[order_id]["body"].get("backup_of") or order_id
    seen: set[str] = set()
    for one in live(records, "late.answered").values():
        body = one["body"]
        authors = {records[name]["author"] for name in body["seen"] if name in records}
        counts = one["role"] == "surgeon" and body["order"] == order_id
        counts = counts and not in_other_hands(records, one)
        if counts and body["answer"] == "keep" and one["author"] not in authors:
            seen |= set(body["seen"])
    return seen


def without_reply(records: Records) -> list[str]:
    """Return the cancellations of what the supplier had confirmed, without its answer (I26).

    Args:
        records: in the order in which they were stored.
    """
    promised, found = set(), []
    for name, one in records.items():
        if one["kind"] in ("order.confirmed", "order.shipped", "order.received"):
            promised.add(one["body"]["order"])
        is_so = one["kind"] == "order.cancelled" and one["body"]["order"] in promised
        if is_so and not one["body"].get("supplier_reply"):
            found.append(name)
    return found
