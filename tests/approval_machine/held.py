"""What must hold after each step, at the base and on every phone, whatever was done."""

from typing import Any

from hypothesis.stateful import invariant

from tests.approval_machine import (
    oracle,
    oracle_asking,
    oracle_backups,
    oracle_exchange,
    oracle_lenses,
    oracle_theatre,
)
from tests.approval_machine.base import in_force
from tests.approval_machine.oracle import Records
from tests.approval_machine.reached import REACHED
from tests.approval_machine.starts import Starts
from tests.approval_machine.world import EYE, PERSON, fold_of, payloads
from webapp.flow.calculation import as_entry
from webapp.store import journal

STATES = ("conflict", "stale", "returned", "exchange_considered", "implanted", "followed")

NOT_RELEASED = "backup.other_implanted"


class Held(Starts):
    """The histories, each step of them held before the oracles."""

    stored: set[str]
    held: dict[str, object]
    """Who -> what they knew when it was last held before the oracles."""

    @invariant()
    def everybody_knows_what_may_be(self) -> None:
        """Hold what is new at the base, and on each phone, before the oracles."""
        if not hasattr(self, "stored"):
            return
        records = payloads()
        self._stored(records)
        if self._is_new("base", records):
            eye = self.at_base()
            self._one_order(records, eye)
            self._lenses(records, eye)
            self._theatre(eye["theatre"], records)
            self._decisions(records, eye)
            self._two_lenses(records, eye)
            self._asked(records, eye)
        for name, phone in self.phones.items():
            known = phone.known()
            if self._is_new(name, known):
                # No base has judged yet what a phone holds; it goes by that all the same.
                self._on_a_phone(known, phone.fold())

    def _is_new(self, who: str, records: Records) -> bool:
        now = (frozenset(records), in_force(), len(self.revoked))
        was, self.held[who] = self.held.get(who), now
        return was != now

    def _on_a_phone(self, known: Records, eye: dict[str, Any]) -> None:
        self._theatre(eye["theatre"], known)
        self._decisions(known, eye)
        self._two_lenses(known, eye)
        self._asked(known, eye)
        if oracle_lenses.overlap(oracle_lenses.lenses(known, EYE)):
            assert eye["state"] == "conflict", "two lenses in one eye"
            REACHED["two lenses on a phone"] += 1

    def _stored(self, records: Records) -> None:
        """The journal only grows (I10), and nothing forged or revoked is in it (I8)."""
        now = set(records)
        assert self.stored <= now, "I10: a stored record is gone"
        self.stored = now
        assert not self.wrong, self.wrong
        assert not oracle.without_reply(records), "I26: cancelled without the supplier's answer"

    def _one_order(self, records: Records, eye: dict[str, Any]) -> None:
        """One live order (I2); what came late blocks; a shuffle changes nothing (I5, I6)."""
        orders = oracle.live_orders(records, EYE)
        assert len(orders) <= 1, "I2"
        for name in STATES:
            REACHED[name] += eye["state"] == name
        if orders:
            self._late(records, eye, orders[0])
        entries = [as_entry(one) for one in journal.entries_of_person(PERSON)]
        assert fold_of(entries[::-1] + entries[:3]) == eye, "I5, I6"

    def _late(self, records: Records, eye: dict[str, Any], placed: str) -> None:
        assert eye["late"]["order"] == placed
        of_lens = oracle_exchange.late_readings(records, placed)
        if oracle.late_records(records, placed) or of_lens:
            assert eye["late"]["blocks"] == 1, "late evidence releases the lens"
            REACHED["late"] += 1
            REACHED["late reading of the lens"] += bool(of_lens)
        if eye["late"]["answer"] and not eye["late"]["blocks"]:
            REACHED["late kept"] += 1

    def _lenses(self, records: Records, eye: dict[str, Any]) -> None:
        """I16, I20, I21: what the base stored of surgeries, and what it says of them."""
        broken = oracle_lenses.wrong_with_surgeries(records)
        assert not broken, f"surgeries that must not be: {broken}"
        lenses = {one.surgery: one for one in oracle_lenses.lenses(records, EYE)}
        if oracle_lenses.overlap([*lenses.values()]):
            assert eye["state"] == "conflict", "two lenses in one eye"
            REACHED["an older lens came late"] += 1
        assert {one["id"] for one in eye["surgeries"]} == lenses.keys()
        for one in eye["surgeries"]:
            lens = lenses[one["id"]]
            assert one["explanted_on"] == lens.last, "another day than the records say"
            read = {each["id"] for each in one["followups"]}
            assert read == oracle_lenses.readings_of(records, EYE, lens), "I22"
            is_checked = oracle_lenses.is_checked(records, records[lens.surgery])
            assert one["unchecked"] is not None or is_checked, "I21"
            REACHED["implanted as checked"] += is_checked
            REACHED["implanted unchecked"] += not is_checked
            REACHED["out of the eye"] += lens.last is not None
        REACHED["exchanged"] += len(lenses) > 1

    def _decisions(self, records: Records, eye: dict[str, Any]) -> None:
        """I22: a decision that stands binds its lens and all that was read of it."""
        for one in eye["approvals"]:
            if one["kind"] != oracle_exchange.KIND:
                continue
            REACHED["decision about a lens fell"] += not one["live"]
            if one["live"]:
                broken = oracle_exchange.wrong_with(records, one["id"], in_force())
                assert not broken, f"a decision that must not stand: {broken}"
                REACHED["decision about a lens stands"] += 1

    def _theatre(self, theatre: dict[str, Any] | None, records: Records) -> None:
        """I16, I19, I21: the check that counts is by two people, of a box that nobody doubts."""
        if theatre is None:
            return
        REACHED["taken away in theatre"] += bool(theatre["stopped"])
        if theatre["ready"]:
            broken = oracle_theatre.wrong_with_box(records, theatre["label"], EYE)
            assert not broken, f"a box that must not be released: {broken}"
            REACHED["ready for theatre"] += 1
        if theatre["confirmed"]:
            pair = (theatre["check"]["id"], theatre["confirmed"]["id"])
            broken = oracle_theatre.wrong_with_check(records, theatre["label"], *pair)
            assert not broken, f"a check that must not count: {broken}"
            REACHED["checked by two"] += 1

    def _two_lenses(self, records: Records, eye: dict[str, Any]) -> None:
        """Of a chosen lens and its back-up one alone may go into the eye (decision 78)."""
        broken = oracle_backups.wrong_with_orders(records)
        assert not broken, f"two orders that must not be: {broken}"
        said = [one["records"] for one in eye["findings"] if one["code"] == NOT_RELEASED]
        for lens in oracle_lenses.lenses(records, EYE):
            order = records[lens.surgery]["body"]["order"]
            is_wrong = order is not None and not oracle_backups.may_go(records, order)
            assert is_wrong == any(lens.surgery in each for each in said), "the other one, unsaid"
            REACHED["the other of two implanted"] += is_wrong
            is_backup = order is not None and oracle_backups.chosen_of(records, order) != order
            REACHED["back-up implanted"] += is_backup and not is_wrong
        orders = oracle.live_orders(records, EYE)
        if len(orders) != 1:
            return
        backups = oracle_backups.standing_backups(records, orders[0])
        assert (eye["backup"] is not None) == bool(backups), "two orders stand, one is shown"
        if oracle_backups.said_against(records, orders[0]) and not backups:
            assert eye["box"]["verified"] is None, "the chosen lens, though it is not implanted"
            REACHED["neither of two lenses released"] += 1
        if backups:
            self._released(records, eye, orders[0], backups[0])

    def _released(
        self, records: Records, eye: dict[str, Any], chosen: str, backup: str
    ) -> None:  # fmt: skip
        both = eye["backup"]
        boxes = {chosen: both["chosen_box"]["verified"], backup: both["box"]["verified"]}
        for order, label in boxes.items():
            broken = oracle_theatre.wrong_with_box(records, label, EYE) if label else []
            assert not broken, f"a box that must not be released: {broken}"
            assert label is None or records[label]["body"]["order"] == order, "of the other order"
        assert None in boxes.values(), "both lenses are released"
        assert eye["order"]["id"] == oracle_backups.in_use(records, chosen), "the other of two"
        assert eye["theatre"]["order"] == eye["order"]["id"]
        REACHED["back-up instead of the chosen lens"] += eye["order"]["id"] == backup
        REACHED["box of a back-up released"] += boxes[backup] is not None

    def _asked(self, records: Records, eye: dict[str, Any]) -> None:
        """What was asked of the lens in the eye waits for the decision that names it."""
        inside = oracle_lenses.lying(records, EYE)
        if len(inside) != 1 or eye["exchange"] is None:
            return
        asked = oracle_asking.asked(records, EYE, inside[0])
        told = {one["id"]: bool(one["answered"]) for one in eye["exchange"]["asked"]}
        assert told == asked, "asked, and another answer than the records give"
        waits = not all(asked.values())
        assert not waits or eye["state"] not in ("implanted", "followed"), "asked, and in no queue"
        REACHED["asked and not answered"] += waits
        REACHED["asked and answered"] += True in asked.values()
