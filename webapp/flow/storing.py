"""Storing judged records, and what follows from each in the read models: one transaction.

The same few lines serve what phones push and what the desk signs, so both leave the same traces.
"""

from typing import Any

from webapp.flow import clock_flags, joined
from webapp.flow.ledger import is_lens_taken, lens_taken, surgery_of, targets_of
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
    for target in targets_of(payload):
        implants.end(target)
    if kind.startswith("person."):
        _follow_person(record_id, payload)
    elif kind == "surgery.implanted":
        implants.keep(surgery_of(record_id, payload))
    elif kind in ("plan.request", "plan.approval"):
        core = payload["body"]["shown"]["core"]
        plan_checks.expect(record_id, payload["person"], payload["eye"], payload["site"], core)
    elif kind == "order.placed":
        orders.place(
            {
                "order_id": record_id,
                "number": orders.next_number(),
                "approval": payload["body"]["approval"],
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


def _follow_person(record_id: str, payload: dict[str, Any]) -> None:
    kind = payload["kind"]
    if kind == "person.registered" and not payload["replaces"]:
        cases.register(payload["person"], payload["site"])
    elif kind == "person.merged":
        joins.keep(record_id, payload["person"], payload["body"]["other"])
    elif kind == "person.split":
        joins.end(payload["body"]["target"])
