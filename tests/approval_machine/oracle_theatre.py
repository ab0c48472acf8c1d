"""Whether a box may be released and a check in theatre count, judged from signed payloads alone."""

from typing import Any

from tests.approval_machine import oracle, oracle_backups
from tests.approval_machine.oracle import Records


def of_kind(records: Records, kind: str) -> dict[str, Any]:
    """Return the records of a kind."""
    return {name: one for name, one in records.items() if one["kind"] == kind}


def wrong_with_box(records: Records, label_id: str, eye: str) -> list[str]:
    """Return the invariants that a released box breaks."""
    label = records[label_id]["body"]
    orders = oracle.live_orders(records, eye)
    doubts = {
        name
        for kind in ("label.checked", "theatre.checked")
        for name, one in of_kind(records, kind).items()
        if one["body"]["order"] == label["order"] and one["body"]["outcome"] != "agrees"
    }
    agreed = [
        one["body"]["first"]["serial"]
        for one in of_kind(records, "label.checked").values()
        if one["body"]["order"] == label["order"] and one["body"]["outcome"] == "agrees"
    ]
    lens = records[label["order"]]["body"]["lens"]
    broken = {
        "I2": orders != [oracle_backups.chosen_of(records, label["order"])],
        "the other one of two lenses": not oracle_backups.may_go(records, label["order"]),
        "I16": records[label_id]["eye"] != records[label["order"]]["eye"],
        "I19 lens": any(label[who][name] != lens[name] for who in ("first", "second")
                        for name in lens),
        "I19 trace": any(label["first"][name] != label["second"][name]
                         for name in ("lot", "serial", "expiry_date")),
        "I19 expiry": label["first"]["expiry_date"] < records[label_id]["wall"][:10],
        "I19 two people": label["second_person"] in (None, records[label_id]["author"]),
        "a doubt that it has not seen": not doubts <= set(label["seen"]),
        "two lenses": len(set(agreed)) != 1,
        "late evidence": bool(oracle.late_records(records, label["order"])),
    }  # fmt: skip
    return [name for name, is_broken in broken.items() if is_broken]


def wrong_with_check(
    records: Records, label_id: str, check_id: str, confirmed_id: str
) -> list[str]:  # fmt: skip
    """Return the invariants that a check which counts breaks."""
    check, second = records[check_id], records[confirmed_id]
    label = records[label_id]["body"]
    broken = {
        "I16": check["body"]["eye"] != check["eye"] or check["body"]["order"] != label["order"],
        "another box": check["body"]["label"] != label_id,
        "I21 serial": check["body"]["trace"]["serial"] != label["first"]["serial"],
        "outcome": check["body"]["outcome"] != "agrees",
        "of another check": second["body"]["check"] != check_id,
        "other hands": any(oracle.in_other_hands(records, one) for one in (check, second)),
        "one person": second["author"] == check["author"] or second["key"] == check["key"],
    }
    return [name for name, is_broken in broken.items() if is_broken]
