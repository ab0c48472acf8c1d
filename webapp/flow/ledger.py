"""What one transaction knows while it judges a batch: looked up once, kept up to date in memory."""

import json
from typing import Any

from webapp.flow import folding, joined, orders_here
from webapp.flow.orders_here import OrderHere
from webapp.flow.said import (
    MERGED,
    SURGERY,
    bodies,
    is_adoptable,
    is_lens_taken,
    lens_taken,
    names_in,
    surgery_of,
    taken_out_by,
    targets_of,
    texts,
)
from webapp.records.envelope import Record
from webapp.store import accounts, chains, gaps, installation, journal, quarantine
from webapp.store.journal import Fact
from webapp.store.projections import cases, implants, joins, label_checks
from webapp.store.projections.implants import Surgery, serial_key
from webapp.store.projections.joins import Join
from webapp.store.projections.label_checks import LabelCheck


class Ledger:
    """The stored records, chains and people that a batch of records touches.

    Everything is read inside the transaction, so nothing can change between judging and storing.
    """

    def __init__(self, records: list[Record]) -> None:
        ids = {record.id for record in records}
        named = {name for record in records for name in names_in(record.payload)}
        self.facts = journal.facts(ids | named)
        self.facts |= journal.facts(self._orders_of_checks())
        self.known = ids & self.facts.keys()
        apart = quarantine.among(ids)
        self.apart = set(apart)
        self.placed = {record_id for record_id, has_place in apart.items() if has_place}
        self.decided = quarantine.decisions(ids)
        self.chains = chains.heads({record.kid for record in records})
        self.gaps = gaps.of_keys({record.kid for record in records})
        self.batch: dict[str, Record] = {}
        self.moved: dict[str, tuple[int, str]] = {}
        self.superseded = journal.superseded(self.facts.keys() & named)
        self.surgeries = _surgeries(records)
        self.person_sites = cases.sites_of(texts(records, "person") | bodies(records, "other"))
        others = bodies(records, "proposed_by") | bodies(records, "second_person")
        self.roles = accounts.roles_of(texts(records, "author") | others)
        self.sites = installation.site_titles()

    def _orders_of_checks(self) -> set[str]:
        """Return the orders and boxes of stored checks in theatre that these records name."""
        checks = {one.id for one in self.facts.values() if one.kind == "theatre.checked"}
        stored = [json.loads(e.payload)["body"] for e in journal.entries_by_id(checks).values()]
        return {body[name] for body in stored for name in ("order", "label") if body[name]}

    def find(self, record_id: str, *kinds: str) -> Fact | None:
        """Return a record of this batch or of the journal, if it is of one of these kinds."""
        fact = self.facts.get(record_id)
        return fact if fact and (not kinds or fact.kind in kinds) else None

    def has_live_order(self, person: str, eye: str, *, is_backup: bool = False) -> bool:
        """Say whether this eye has an order that stands, under any registration of its person."""
        return bool(self.standing_orders(self.registrations(person), eye, is_backup=is_backup))

    def standing_orders(self, people: list[str], eye: str, *, is_backup: bool = False) -> list[str]:
        """Return the orders of one kind that stand up to here, under these registrations."""
        found = orders_here.of_eye(people, eye, self.batch.values())
        return [
            name
            for name, one in found.items()
            if one.live and (one.backup_of is not None) == is_backup
            if not self._is_done(name, found)
        ]

    def stands(self, order_id: str, person: str, eye: str) -> bool:
        """Say whether an order of this eye stands: neither cancelled nor done with."""
        found = self._orders_of(person, eye)
        return order_id in found and found[order_id].live and not self._is_done(order_id, found)

    def is_used(self, order_id: str, person: str, eye: str) -> bool:
        """Say whether a surgery that stands implanted the lens of an order, or its back-up."""
        return self._is_done(order_id, self._orders_of(person, eye))

    def _orders_of(self, person: str, eye: str) -> dict[str, OrderHere]:
        return orders_here.of_eye(self.registrations(person), eye, self.batch.values())

    def _is_done(self, order_id: str, found: dict[str, OrderHere]) -> bool:
        """Say whether a surgery that stands up to here implanted an order's lens or its back-up.

        What the orders' own rows say is from before this batch, which may withdraw surgeries.
        """
        pair = orders_here.pair_of(order_id, found)
        stored = [one.surgery_id for name in pair for one in implants.naming(name)]
        return any(one not in self.superseded for one in stored) or any(
            one.live and one.order_id in pair for one in self.surgeries.values()
        )

    def registrations(self, person: str) -> list[str]:
        """Return a registration and all it is joined with, by this batch too."""
        return joined.registrations(person, self.joins_of)

    def joins_of(self, person: str) -> list[Join]:
        """Return the joinings that hold and name a registration, those of this batch too."""
        stored = [one for one in joins.touching(person) if one.record not in self.superseded]
        return stored + [
            Join(record.id, record.payload["person"], record.payload["body"]["other"])
            for record in self.batch.values()
            if record.payload["kind"] == MERGED
            and record.id not in self.superseded
            and person in (record.payload["person"], record.payload["body"]["other"])
        ]

    def is_same_person(self, one: str | None, other: str) -> bool:
        """Say whether two registrations are one, or were joined."""
        return one == other or one in self.registrations(other)

    def kind_of(self, record_id: str) -> str | None:
        """Return the kind of a record, also of one that no record of this batch names."""
        known = self.facts.get(record_id) or journal.facts({record_id}).get(record_id)
        return None if known is None else known.kind

    def payload_of(self, record_id: str) -> bytes:
        """Return what a record says that ``find`` found, of this batch or stored."""
        if record_id in self.batch:
            return self.batch[record_id].payload_bytes
        return journal.entries_by_id({record_id})[record_id].payload

    def body_of(self, record_id: str) -> dict[str, Any]:
        """Return the body of a record that ``find`` found."""
        body: dict[str, Any] = json.loads(self.payload_of(record_id))["body"]
        return body

    def is_implanted_elsewhere(self, serial: str | None, person: str, eye: str) -> bool:
        """Say whether a lens with this serial number was implanted in another eye, or taken out."""
        return any(
            one.live
            and not (
                one.out_by is None and one.eye == eye and self.is_same_person(one.person, person)
            )
            for one in self._implanted(serial)
        )

    def standing_surgery(self, surgery_id: str) -> Surgery | None:
        """Return the surgery of this id, or the correction of it that stands; else None."""
        one, seen = self.surgeries.get(surgery_id), {surgery_id}
        while one is not None and not one.live:
            by = self.superseded.get(one.surgery_id) or journal.superseded_by(one.surgery_id)
            if by is None or by in seen:
                return None
            seen.add(by)
            one = self.surgeries.get(by)
        return one

    def _implanted(self, serial: str | None) -> list[Surgery]:
        """Return the surgeries with a serial number, as ``serial_key`` writes it, up to here."""
        if serial is None:
            return []
        stored = {one.surgery_id: one for one in implants.with_serials({serial})}
        known = {**stored, **self.surgeries}
        return [
            one._replace(live=0) if one.surgery_id in self.superseded else one
            for one in known.values()
            if one.serial == serial
        ]

    def checks_with(self, serial: str) -> list[LabelCheck]:
        """Return the boxes with this serial number that agreed with an order."""
        in_batch = [
            lens_taken(record.id, record.payload)
            for record in self.batch.values()
            if is_lens_taken(record.payload)
        ]
        return label_checks.with_serial(serial) + in_batch

    def progress_of(self, payload: dict[str, Any]) -> dict[str, Any]:
        """Return how far the order that a record names is, by all that is known up to here."""
        eye, order = payload["eye"], payload["body"]["order"]
        orders_of_eye: list[dict[str, Any]] = self.fold_of(payload["person"])["eyes"][eye]["orders"]
        return next(one for one in orders_of_eye if one["id"] == order)

    def fold_of(self, person: str, *more: Record) -> dict[str, Any]:
        """Return the core's fold of a person by all that is known up to here, and more records."""
        people = self.registrations(person)
        added = [
            {"id": one.id, "payload": one.payload, "received": None, "state": "ok"}
            for one in (*self.batch.values(), *more)
            if one.payload["person"] in people
        ]
        stored = [entry for one in people for entry in journal.entries_of_person(one)]
        return folding.fold_entries(stored, folding.in_force(), added)

    def _end_surgery(self, target: str) -> None:
        """Take a record's effect on lenses away: of a surgery, or of what took a lens out."""
        for name, one in self.surgeries.items():
            if name == target:
                self.surgeries[name] = one._replace(live=0)
            elif one.out_by == target:
                self.surgeries[name] = one._replace(out_by=None, out_on=None)

    def _take_out(self, record: Record) -> None:
        """Note the lens that a record took out of its eye."""
        named = taken_out_by(record.payload)
        one = None if named is None else self.standing_surgery(named)
        if one is not None:
            out_on = record.payload["body"]["operated"]
            self.surgeries[one.surgery_id] = one._replace(out_by=record.id, out_on=out_on)

    def has_place(self, record: Record) -> bool:
        """Say whether the chain of its key counts this record already, refused as it was."""
        return record.id in self.placed

    def is_adopted(self, record: Record) -> bool:
        """Say whether a surgeon answers for this record's coming in all the same."""
        kind = record.payload.get("kind")
        return self.decided.get(record.id) == "adopt" and is_adoptable(kind)

    def is_corrected(self, record_id: str) -> bool:
        """Say whether a record that no longer stands gave way to a correction of itself."""
        by, fact = self.superseded.get(record_id, ""), self.facts.get(record_id)
        later = self.facts.get(by) or journal.facts({by}).get(by)
        return later is not None and fact is not None and later.kind == fact.kind

    def take_place(self, record: Record) -> None:
        """Move the key's chain to this record."""
        self.placed.add(record.id)
        self.moved[record.kid] = self.chains[record.kid] = (record.payload["seq"], record.id)

    def add(self, record: Record) -> None:
        """Count a record as stored, for those after it in the batch."""
        payload = record.payload
        self.batch[record.id] = record
        self.known.add(record.id)
        self.facts[record.id] = Fact(
            record.id, payload["kind"], payload["site"], payload["person"], payload["eye"],
            payload["author"],
        )  # fmt: skip
        for target in targets_of(payload):
            self.superseded[target] = record.id
            self._end_surgery(target)
        self._take_out(record)
        if payload["kind"] == SURGERY:
            before = self.surgeries.get(payload["replaces"] or "")
            self.surgeries[record.id] = surgery_of(record.id, payload, before)
        if payload["kind"] == "person.registered":
            self.person_sites.setdefault(payload["person"], payload["site"])


def _surgeries(records: list[Record]) -> dict[str, Surgery]:
    """Return the stored surgeries of these people, and those with the serial numbers named."""
    concerned = [record for record in records if _is_of_surgery(record.payload)]
    if not concerned:
        return {}
    serials = {serial_key(text) for text in bodies(concerned, "serial")}
    people = joined.with_others(texts(concerned, "person") | bodies(records, "other"))
    found = implants.of_people(people)
    found += implants.with_serials({serial for serial in serials if serial})
    return {surgery.surgery_id: surgery for surgery in found}


def _is_of_surgery(payload: dict[str, Any]) -> bool:
    return str(payload.get("kind")).startswith(
        ("surgery.", "followup.", "exchange.", "order.placed", "record.void", MERGED)
    )
