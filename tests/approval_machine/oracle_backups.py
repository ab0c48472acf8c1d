"""Which of two ordered lenses may be implanted, and whether both orders may be there.

Judged from signed payloads alone, by the words of decision 78: the chosen lens, until a surgeon's
record names one of its checks and releases the back-up; never both, and both end together.
"""

from tests.approval_machine import oracle
from tests.approval_machine.oracle import Payload, Records

RELEASE = "backup.released"
CHECKS = ("label.checked", "theatre.checked")


def placed(records: Records) -> Records:
    """Return every order, of chosen and of back-up lenses."""
    return {name: one for name, one in records.items() if one["kind"] == "order.placed"}


def chosen_of(records: Records, order_id: str) -> str:
    """Return the order of the chosen lens: this one, or the one that it is the back-up of."""
    found: str = records[order_id]["body"].get("backup_of") or order_id
    return found


def standing_backups(records: Records, chosen: str) -> list[str]:
    """Return the back-ups of an order that were neither cancelled nor done with."""
    ended = {one["body"]["order"] for one in records.values() if one["kind"] == "order.cancelled"}
    ended |= oracle.implanted_orders(records)
    if chosen in ended:
        return []
    return [
        name
        for name, one in placed(records).items()
        if one["body"].get("backup_of") == chosen and name not in ended
    ]


def said_against(records: Records, chosen: str) -> Records:
    """Return the surgeons' records that stand and say that a chosen lens is not implanted."""
    return {
        name: one
        for name, one in oracle.live(records, RELEASE).items()
        if one["role"] == "surgeon" and one["body"]["instead_of"] == chosen
    }


def may_go(records: Records, order_id: str) -> bool:
    """Return whether the lens of an order is the one of its two that may go into the eye."""
    chosen = chosen_of(records, order_id)
    said = said_against(records, chosen)
    if order_id == chosen:
        return not said
    return any(
        one["body"]["order"] == order_id and is_check_of(records, one["body"]["check"], chosen)
        and not oracle.in_other_hands(records, one)
        for one in said.values()
    )  # fmt: skip


def is_check_of(records: Records, name: str, order_id: str) -> bool:
    """Return whether a record is a check of the lens of this order."""
    one = records.get(name)
    return (
        one is not None
        and one["kind"] in CHECKS
        and one["body"]["order"] == order_id
        and not oracle.out(records, name)
    )


def in_use(records: Records, chosen: str) -> str:
    """Return the order whose lens is to be implanted."""
    return next((one for one in standing_backups(records, chosen) if may_go(records, one)), chosen)


def wrong_with_orders(records: Records) -> list[str]:
    """Return the invariants that the stored orders of two lenses break."""
    pairs = [
        (records[one["body"]["backup_of"]], one, name)
        for name, one in placed(records).items()
        if one["body"].get("backup_of")
    ]
    broken = [why for pair in pairs for why in wrong_with_pair(records, *pair)]
    chosen = {
        name: one for name, one in placed(records).items() if not one["body"].get("backup_of")
    }
    for name, one in chosen.items():
        approval = records[one["body"]["approval"]]["body"]
        mine = [each for _, each, _ in pairs if each["body"]["backup_of"] == name]
        if approval.get("backup") is not None and not mine:
            broken.append("one order alone of two lenses")
        if len(standing_backups(records, name)) > 1:
            broken.append("I2 two back-ups")
    return broken


def wrong_with_pair(records: Records, chosen: Payload, backup: Payload, name: str) -> list[str]:
    """Return the invariants that one order of a back-up lens breaks."""
    approval = records[backup["body"]["approval"]]["body"]
    lens = backup["body"]["lens"]
    cancelled = {
        one["body"]["order"] for one in records.values() if one["kind"] == "order.cancelled"
    }
    broken = {
        "I11 another back-up": lens != approval.get("backup"),
        "I11 another approval": backup["body"]["approval"] != chosen["body"]["approval"],
        "I16": backup["eye"] != chosen["eye"] or backup["person"] != chosen["person"],
        "a back-up of a back-up": chosen["body"].get("backup_of") is not None,
        "another length was promised": lens["length_um"] != chosen["body"]["lens"]["length_um"],
        "a back-up outlives": backup["body"]["backup_of"] in cancelled and name not in cancelled,
        "I20 one lens for both": bool(
            serials(records, name) & serials(records, backup["body"]["backup_of"])
        ),
    }
    return [why for why, is_broken in broken.items() if is_broken]


def serials(records: Records, order_id: str) -> set[str]:
    """Return the serial numbers of the boxes that were taken for an order."""
    return {
        one["body"]["first"]["serial"]
        for one in records.values()
        if one["kind"] == "label.checked" and one["body"]["order"] == order_id
        and one["body"]["outcome"] == "agrees"
    }  # fmt: skip
