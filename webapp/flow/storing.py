"""Storing judged records, and what follows from each in the read models: one transaction.

The same few lines serve what phones push and what the desk signs, so both leave the same traces.
"""

from typing import Any

from webapp.flow import clock_flags, joined
from webapp.flow.said import is_lens_taken, lens_taken, surgery_of, taken_out_by, targets_of
from webapp.records.envelope import Record
from webapp.store import chains, devices, gaps, journal, quarantine
from webapp.store.gaps import Gap
from webapp.store.journal import Entry
from webapp.store.projections import cases, implants, joins, label_checks, orders, plan_checks


def store(records: list[Record], moved: dict[str, tuple[int, str]], now: str) -> dict[str, int]:
    """Append records in order and return id -> number; call inside ``writing()``.

    Args:
        records: judged records, not stored yet.
        moved: the new chain head of every key that made a record, stored or refused.
        now: the moment of receipt (instant).
    """
    numbered = journal.append([_entry(record, now) for record in records]) if records else []
    chains.move(moved)
    clock_flags.judge(records, now)
    for record in records:
        _follow(record.id, record.payload, now)
        if is_lens_taken(record.payload):
            label_checks.keep(lens_taken(record.id, record.payload))
    people = {r.payload["person"] for r in records if r.payload["person"]}
    cases.mark_changed(joined.with_others(people))
    return {entry.id: entry.n for entry in numbered}


def _entry(record: Record, now: str) -> Entry:
    payload = record.payload
    return Entry(
        record.id, payload["site"], 0, payload["kind"], payload["person"], payload["eye"],
        payload["author"], record.kid, record.payload_bytes, record.signature, now,
    )  # fmt: skip


def _follow(record_id: str, payload: dict[str, Any], now: str) -> None:
    kind = payload["kind"]
    journal.supersede({target: record_id for target in targets_of(payload)})
    _follow_lens(record_id, payload)
    if kind.startswith("person."):
        _follow_person(record_id, payload)
    elif kind in ("plan.request", "plan.approval", "exchange.decided"):
        core = payload["body"]["shown"]["core"]
        plan_checks.expect(record_id, payload["person"], payload["eye"], payload["site"], core)
    elif kind == "order.placed":
        orders.place(
            {
                "order_id": record_id,
                "number": orders.next_number(),
                "approval": payload["body"]["approval"],
                "backup_of": payload["body"].get("backup_of"),
                "is_backup": 0 if payload["body"].get("backup_of") is None else 1,
                **{name: payload[name] for name in ("person", "eye", "site")},
            }
        )
    elif kind == "order.referenced":
        orders.refer(payload["body"]["order"], payload["body"]["supplier_reference"])
    elif kind == "order.cancelled":
        orders.cancel(payload["body"]["order"])
    elif kind == "order.printed":
        orders.count_print(payload["body"]["order"])
    elif kind == "quarantine.decided":
        quarantine.decide(record_id, **payload["body"])
    elif kind == "gap.declared":
        said = payload["body"]
        gaps.add(Gap(record_id, said["of_key"], said["from_seq"], said["to_seq"], said["last"]))
    elif kind == "key.revoked":
        devices.revoke(payload["body"]["key"], payload["body"]["suspected_since"], now)
    elif kind == "key.closed":
        devices.close(payload["body"]["key"], payload["body"]["last_seq"], now)


def _follow_lens(record_id: str, payload: dict[str, Any]) -> None:
    """Follow what a record says of lenses: put in, taken out, corrected or withdrawn."""
    if not payload["kind"].startswith(("surgery.", "record.void")):
        return
    replaced = implants.find(payload["replaces"]) if payload["replaces"] else None
    orders_before = {
        one.order_id
        for one in map(implants.find, targets_of(payload))
        if one is not None and one.order_id is not None
    }
    # Before what it corrects is ended: a lens that stays out never lies in its eye in between.
    named = taken_out_by(payload)
    if named is not None:
        standing = _standing(named)
        if standing is not None:
            implants.take_out(standing, record_id, payload["body"]["operated"])
    for target in targets_of(payload):
        implants.end(target)
    if payload["kind"] == "surgery.implanted":
        surgery = surgery_of(record_id, payload, replaced)
        implants.keep(surgery)
        orders_before |= {surgery.order_id} if surgery.order_id else set()
    for order_id in sorted(orders_before):
        pair = orders.pair_of(order_id)
        is_used = any(implants.naming(one) for one in pair)
        for one in pair:
            orders.mark_used(one, is_used)


def _standing(surgery_id: str) -> str | None:
    """Return the surgery of this id, or the correction of it that stands; else None."""
    one = implants.find(surgery_id)
    while one is not None and not one.live:
        by = journal.superseded_by(one.surgery_id)
        one = None if by is None else implants.find(by)
    return None if one is None else one.surgery_id


def _follow_person(record_id: str, payload: dict[str, Any]) -> None:
    kind = payload["kind"]
    if kind == "person.registered" and not payload["replaces"]:
        cases.register(payload["person"], payload["site"])
    elif kind == "person.merged":
        joins.keep(record_id, payload["person"], payload["body"]["other"])
    elif kind == "person.split":
        joins.end(payload["body"]["target"])
