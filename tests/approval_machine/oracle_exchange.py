"""Whether a decision about the lens in an eye may stand, and be ordered from (I22 and its kin).

Judged from signed payloads alone, as everything of these oracles.
"""

from tests.approval_machine import oracle, oracle_lenses
from tests.approval_machine.oracle import Payload, Records
from tests.approval_machine.oracle_lenses import Lens

KIND = "exchange.decided"


def lens_of(records: Records, decision: Payload) -> Lens | None:
    """Return the lens that a decision is about, None where no surgery of it stands."""
    named = decision["body"]["implant"]
    mine = [
        one for one in oracle_lenses.lenses(records, decision["eye"]) if named in one.names
    ]  # fmt: skip
    return mine[0] if mine else None


def wrong_with(records: Records, name: str, in_force: tuple[str, str]) -> list[str]:
    """Return the invariants that a decision breaks which is said to stand now."""
    one = records[name]
    shown, eye = one["body"]["shown"], one["eye"]
    lens = lens_of(records, one)
    if lens is None:
        return ["I22 no such lens"]
    here = oracle_lenses.readings_of(records, eye, lens)
    bound, before = set(shown["followups"]), set(shown["evidence"])
    operations = {
        name
        for each in oracle_lenses.lenses(records, eye)
        for name in each.names | each.ended_by
    }  # fmt: skip
    authors = {records[each]["author"] for each in bound | before if each in records}
    broken = {
        "I3": one["role"] != "surgeon" or one["author"] in authors,
        "I8": oracle.in_other_hands(records, one),
        "I4": one["body"]["digest"] != oracle.digest(shown),
        "I12": (shown["catalogue"], shown["limits"]) != in_force,
        "I13": oracle.out(records, name),
        "I16": shown["eye"] != eye or shown["person"] != one["person"],
        "I18": oracle.settled_against(records, name),
        "I22 of another lens": shown["implant"] != one["body"]["implant"],
        "I22 it is out": lens.last is not None,
        "I22 I7 I14": bound != here or before != oracle.evidence(records, eye),
        "I22 a surgery that it did not know": not operations <= set(shown["surgeries"]),
        "I2 spent": oracle.spent(records, name) or oracle.is_done(records, name),
    }
    return [name for name, is_broken in broken.items() if is_broken]


def wrong_with_order(
    records: Records, order_id: str, in_force: tuple[str, str], revoked: set[str]
) -> list[str]:
    """Return the invariants that an order breaks which was placed from such a decision just now."""
    order = records[order_id]
    name = order["body"]["approval"]
    before = {one: payload for one, payload in records.items() if one != order_id}
    decision = records[name]
    broken = {
        "I2": len(oracle.live_orders(records, order["eye"])) != 1,
        "I8": decision["key"] in revoked,
        "I9 I18": contradicted(before, name, in_force),
        "I11": order["body"]["lens"] != decision["body"]["shown"]["lens"],
        "I16": order["eye"] != decision["eye"],
        "not to exchange it": decision["body"]["decision"] != "exchange",
    }
    found = [one for one, is_broken in broken.items() if is_broken]
    return found + wrong_with(before, name, in_force)


def contradicted(records: Records, name: str, in_force: tuple[str, str]) -> bool:
    """Return whether another decision about the lens stands and says something else."""
    mine = records[name]["body"]
    return any(
        other != name and one["kind"] == KIND and one["eye"] == records[name]["eye"]
        and not wrong_with(records, other, in_force)
        and (one["body"]["decision"], one["body"]["shown"]["lens"])
        != (mine["decision"], mine["shown"]["lens"])
        for other, one in records.items()
    )  # fmt: skip


def late_readings(records: Records, order_id: str) -> set[str]:
    """Return readings of the lens that its order's decision did not know, and nobody answered."""
    decision = records[records[order_id]["body"]["approval"]]
    lens = lens_of(records, decision) if decision["kind"] == KIND else None
    if lens is None:
        return set()
    here = oracle_lenses.readings_of(records, decision["eye"], lens)
    known = set(decision["body"]["shown"]["followups"])
    return here - known - oracle.answered(records, order_id)
