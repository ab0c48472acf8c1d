"""A back-up lens at the base: ordered with the chosen one, ended with it, released by a surgeon.

Every expectation follows from the rules of SAFETY.md (I2, I11, I16 to I19), asked of each order.
"""

import json
from typing import Any

import pytest

from tests.flow.test_order import Case
from tests.hospital import READINGS, WALL, Hospital, plan_of
from tests.ordered import lens_of
from webapp.demo_people import PASSPHRASE
from webapp.flow import box, clock, desk_record, folding, joined, order, order_progress, recheck
from webapp.flow.box import Read, Second
from webapp.flow.desk_record import Draft
from webapp.flow.refusal import Refused
from webapp.records import canonical
from webapp.records.draft import Subject
from webapp.store import journal
from webapp.store.database import writing
from webapp.store.projections import orders


class Two:
    """One eye whose surgeon named a back-up lens."""

    def __init__(self, hospital: Hospital) -> None:
        self.case = Case(hospital)
        self.camp, self.surgeon, self.fenn = self.case.camp, self.case.surgeon, self.case.fenn
        self.lens: dict[str, Any] = plan_of(self.case.person, "R")["backups"][-1]
        self.approval = self.approve(self.case.approval, self.lens)

    def approve(self, before: str, backup: dict[str, Any]) -> str:
        """Take an approval back and give one that names a back-up."""
        body = self.surgeon.approval_body(self.case.person, "R", self.case.request)
        target = {"target": before}
        self.surgeon.keep("plan.withdrawal", self.case.person, "R", target, reason="Once more")
        named = {**body, "backup": backup}
        return self.surgeon.keep("plan.approval", self.case.person, "R", named)

    def place(self) -> tuple[str, str]:
        """Order both lenses; return the chosen one's order and the back-up's."""
        chosen = self.case.place(approval=self.approval)
        backup = orders.backup_for(chosen)
        assert backup is not None
        return chosen, str(backup.order_id)

    def lines(self) -> list[orders.OrderLine]:
        """Return the orders of the eye, the chosen lens's first."""
        return orders.of_case(self.case.person, "R")

    def eye(self) -> dict[str, Any]:
        """Return the right eye as it stands."""
        entries = joined.entries_of(self.case.person)
        found: dict[str, Any] = folding.fold_entries(entries, folding.in_force())["eyes"]["R"]
        return found

    def check(self, order_id: str, serial: str, **changed: object) -> str:
        """Record the check of a box; one that agrees by two people."""
        lens = lens_of(order_id)
        label = {**lens, "lot": "LOT7", "serial": serial, "expiry_date": "2031-02-28", **changed}
        read, again = Read(None, label, clock.today()), Second("verrill", PASSPHRASE, label)
        return box.check(self.fenn, order_id, read, None if changed else again)

    def release(self, order_id: str, instead_of: str, check: str) -> str:
        """Have the surgeon release the back-up."""
        body = {"order": order_id, "instead_of": instead_of, "check": check}
        return self.surgeon.keep(
            "backup.released", self.case.person, "R", body, reason="It has expired."
        )

    def implant(self, order_id: str, serial: str) -> str:
        """Record that the lens of an order was implanted."""
        body = {
            "operated": clock.today(), "lens": lens_of(order_id), "serial": serial,
            "order": order_id, "approval": self.approval, "incision_meridian_deg": None,
            "final_axis_deg": None, "operator": "Dr S. Verrill", "event": "none", "note": None,
            "unchecked_reason": "No tablet that day.",
        }  # fmt: skip
        return self.surgeon.keep("surgery.implanted", self.case.person, "R", body)

    def refused(self, body: dict[str, Any], person: str = "", eye: str = "R") -> str:
        """Return the code with which a surgeon's release is refused."""
        record = self.surgeon.record(
            "backup.released", person or self.case.person, eye, body, reason="It has expired."
        )
        (receipt,) = self.surgeon.push(record)
        assert receipt.reason is not None
        self.surgeon = self.case.hospital.phone("verrill", "saltpan")
        return receipt.reason.code


@pytest.fixture
def two(hospital: Hospital) -> Two:
    """Return an eye with an approved lens and its back-up."""
    return Two(hospital)


def body_of(record: str) -> dict[str, Any]:
    """Return the body of a stored record."""
    body: dict[str, Any] = json.loads(journal.entries_by_id([record])[record].payload)["body"]
    return body


class TestPlaced:
    """Both lenses, each by an order of its own."""

    def test_both_are_ordered_byte_for_byte(self, two: Two) -> None:
        """I11 for each: the canonical bytes of the approval stand unchanged in the order."""
        chosen, backup = two.place()
        found = journal.entries_by_id([two.approval, backup])
        assert b'"backup":' + canonical.encode(two.lens) in found[two.approval].payload
        assert b'"lens":' + canonical.encode(two.lens) in found[backup].payload
        assert body_of(chosen)["lens"] == body_of(two.approval)["shown"]["lens"]
        assert body_of(backup)["backup_of"] == chosen
        assert "backup_of" not in body_of(chosen)
        assert body_of(chosen)["number"] != body_of(backup)["number"]

    def test_pressed_twice_orders_each_once(self, two: Two) -> None:
        """I2 for each of the two."""
        assert two.place() == two.place()
        assert len(two.lines()) == 2

    def test_without_one_a_single_order_is_placed(self, hospital: Hospital) -> None:
        """An approval that names none is ordered as ever."""
        case = Case(hospital)
        assert orders.backup_for(case.place()) is None
        assert len(orders.of_case(case.person, "R")) == 1

    def test_a_lens_that_the_plan_does_not_offer_orders_nothing(self, two: Two) -> None:
        """The server asks the core whether that plan offers it, and the order stops."""
        other = {**two.lens, "sphere_cD": two.lens["sphere_cD"] + 300}
        wrong = two.approve(two.approval, other)
        recheck.run_waiting_of(two.case.person)
        check = recheck.checks_of(two.case.person)[wrong]
        assert (check.result, "back-up lens" in check.text) == ("differs", True)
        with pytest.raises(Refused) as refused:
            two.case.place(approval=wrong)
        assert refused.value.code == "order.plan_differs"
        assert two.lines() == []

    def test_the_database_itself_refuses_a_second_of_each(self, two: Two) -> None:
        """The index is of one live order of each kind, in both databases."""
        chosen, _ = two.place()
        columns = {"number": 99, "approval": "0" * 64, "person": two.case.person, "eye": "R",
                   "site": "saltpan", "order_id": "0" * 64}  # fmt: skip
        for more in ({}, {"is_backup": 1, "backup_of": chosen}):
            with pytest.raises(Exception, match=r"(?i)unique"), writing():
                orders.place({**columns, **more})


class TestEnded:
    """Both orders end together."""

    def test_cancelling_the_chosen_one_cancels_both(self, two: Two) -> None:
        """Each by a record of its own, and the eye may be ordered for again."""
        both = two.place()
        order.cancel(two.fenn, both[0], "Moved away", PASSPHRASE)
        ended = [
            json.loads(e.payload)["body"]["order"]
            for e in journal.entries_of_person(two.case.person)
            if e.kind == "order.cancelled"
        ]
        assert sorted(ended) == sorted(both)
        assert not any(line.live for line in two.lines())
        assert two.case.state() == "cancelled"

    def test_a_back_up_that_is_here_asks_for_the_suppliers_answer(self, two: Two) -> None:
        """I26 for each: nothing of the two is cancelled before it is cancelled there."""
        chosen, backup = two.place()
        order_progress.arrive(two.fenn, backup, clock.today())
        with pytest.raises(Refused) as refused:
            order.cancel(two.fenn, chosen, "Moved away", PASSPHRASE)
        assert refused.value.code == "order.no_reply"
        assert all(line.live for line in two.lines())
        order.cancel(two.fenn, chosen, "Moved away", PASSPHRASE, "Both taken back")
        assert two.case.state() == "cancelled"

    def test_the_back_up_alone_can_be_cancelled(self, two: Two) -> None:
        """The supplier may not make it; the chosen lens goes on."""
        chosen, backup = two.place()
        order.cancel(two.fenn, backup, "Not made any more", PASSPHRASE)
        assert two.case.state() == "ordered"
        assert [line.order_id for line in two.lines() if line.live] == [chosen]


class TestReleased:
    """A surgeon's record, and what it must name."""

    @pytest.fixture
    def arrived(self, two: Two) -> tuple[Two, str, str]:
        """Return the eye with both lenses here."""
        chosen, backup = two.place()
        for one in (chosen, backup):
            order_progress.arrive(two.fenn, one, clock.today())
        return two, chosen, backup

    def test_the_back_up_instead_of_an_expired_lens(self, arrived: tuple[Two, str, str]) -> None:
        """The whole way: the chosen box has expired, the surgeon releases the other one."""
        two, chosen, backup = arrived
        good = two.check(backup, "SER5")
        assert two.eye()["state"] == "received"
        two.release(backup, chosen, two.check(chosen, "SER9", expiry_date="2020-01-31"))
        eye = two.eye()
        assert (eye["state"], eye["order"]["id"]) == ("verified", backup)
        assert eye["box"]["verified"] == good
        assert box.require_verified(two.fenn, good).order_id == backup

    def test_it_takes_the_chosen_ones_release_away(self, arrived: tuple[Two, str, str]) -> None:
        """In the same record, though its box was good."""
        two, chosen, backup = arrived
        good, spare = two.check(chosen, "SER9"), two.check(backup, "SER5")
        assert two.eye()["box"]["verified"] == good
        two.release(backup, chosen, good)
        assert two.eye()["box"]["verified"] == spare
        with pytest.raises(Refused) as refused:
            box.require_verified(two.fenn, good)
        assert refused.value.code == "box.not_verified"

    def test_one_lens_is_never_of_both(self, arrived: tuple[Two, str, str]) -> None:
        """I20: a serial number taken for the chosen order is not the back-up's."""
        two, chosen, backup = arrived
        two.check(chosen, "SER9")
        with pytest.raises(Refused) as refused:
            two.check(backup, "SER9")
        assert refused.value.code == "label.serial"

    def test_a_wrong_box_of_one_is_seen_by_its_own_next_check(
        self, arrived: tuple[Two, str, str]
    ) -> None:
        """What differed for the chosen lens is no doubt about the back-up."""
        two, chosen, backup = arrived
        wrong = two.check(backup, "SER4", length_um=10000)
        two.check(chosen, "SER9", expiry_date="2020-01-31")
        assert body_of(two.check(backup, "SER5"))["seen"] == [wrong]

    def test_what_it_names_must_fit(self, arrived: tuple[Two, str, str]) -> None:
        """Orders of this pair, and a check of the chosen lens (I16)."""
        two, chosen, backup = arrived
        good, spare = two.check(chosen, "SER9"), two.check(backup, "SER5")
        right = {"order": backup, "instead_of": chosen, "check": good}
        assert two.refused({**right, "check": spare}) == "backup.other_check"
        assert two.refused({**right, "order": chosen, "instead_of": backup}) == "backup.other_order"
        assert two.refused({**right, "order": "a" * 64}) == "order.unknown"
        assert two.refused({**right, "check": "a" * 64}) == "check.unknown"
        arrival = next(
            e.id
            for e in journal.entries_of_person(two.case.person)
            if e.kind == "order.received" and body_of(e.id)["order"] == chosen
        )
        assert two.refused({**right, "check": arrival}) == "check.unknown"
        assert two.refused(right, eye="L") == "order.other"
        somebody = two.camp.register(name="Somebody Else", birth_year=1970)
        assert two.refused(right, person=somebody) == "order.other"

    def test_both_orders_are_done_by_the_surgery(self, arrived: tuple[Two, str, str]) -> None:
        """With the back-up implanted a new cycle may begin; withdrawn, both stand again."""
        two, chosen, backup = arrived
        two.check(backup, "SER5")
        two.release(backup, chosen, two.check(chosen, "SER9", expiry_date="2020-01-31"))
        person, done = two.case.person, two.implant(backup, "SER5")
        assert [orders.has_live([person], "R", is_backup=one) for one in (0, 1)] == [False, False]
        assert two.eye()["state"] == "implanted"
        two.surgeon.keep("record.void", person, "R", {"target": done}, reason="Misread")
        assert [orders.has_live([person], "R", is_backup=one) for one in (0, 1)] == [True, True]

    def test_no_back_up_is_ordered_once_the_chosen_lens_is_in(
        self, arrived: tuple[Two, str, str]
    ) -> None:
        """Its order is done with, and the one of the back-up was cancelled before."""
        two, chosen, backup = arrived
        order.cancel(two.fenn, backup, "Not needed", PASSPHRASE, "Taken back")
        two.check(chosen, "SER9")
        two.implant(chosen, "SER9")
        assert write_order(two, backup_of=chosen) == "order.backup_alone"


def test_a_box_of_the_fellow_eyes_lenses_says_so(two: Two) -> None:
    """Of its chosen lens or its back-up; a lens that is neither is of no other eye."""
    chosen, backup = two.place()
    person, kind = two.case.person, "reading.refraction"
    first = two.camp.measure(person, "L")[kind]
    weaker = {**READINGS[kind], "sphere_cD": -700, "taken": WALL, "typed": {}}
    two.camp.keep(kind, person, "L", weaker, replaces=first, reason="Read again")
    approval = two.surgeon.approve(person, "L", two.camp.send_for_plan(person, "L"))
    left = order.place(two.fenn, person, "L", approval, PASSPHRASE)
    order_progress.arrive(two.fenn, left, clock.today())
    own, right, spare = lens_of(left), lens_of(chosen), lens_of(backup)
    assert own not in (right, spare)
    told = [
        box.find(two.fenn, two.check(left, f"SER{number}", **lens)).other_eye
        for number, lens in enumerate((right, spare, {**spare, "length_um": 11000}))
    ]
    assert told == [True, True, False]


def write_order(two: Two, **changed: object) -> str:
    """Return the code with which an order by a record of the desk is refused."""
    body = {
        "approval": two.approval, "digest": body_of(two.approval)["digest"], "lens": two.lens,
        "number": "X-1", **changed,
    }  # fmt: skip
    subject = Subject(two.case.person, "R", "saltpan")
    with pytest.raises(Refused) as refused, writing():
        desk_record.write(two.fenn, Draft("order.placed", subject, "desk", body))
    return refused.value.code


def test_no_record_of_the_desk_orders_a_back_up_by_itself(two: Two) -> None:
    """Whatever made it: of the approval's own back-up, beside an order of its chosen lens."""
    assert write_order(two, backup_of="a" * 64) == "order.unknown"
    chosen, backup = two.place()
    assert write_order(two, backup_of=chosen) == "order.twice"
    order.cancel(two.fenn, backup, "Not made", PASSPHRASE)
    other = {**two.lens, "sphere_cD": two.lens["sphere_cD"] + 100}
    assert write_order(two, backup_of=chosen, lens=other) == "order.not_backup"
    assert write_order(two, backup_of=backup) == "backup_of.other"
    order.cancel(two.fenn, chosen, "Moved away", PASSPHRASE)
    assert write_order(two, backup_of=chosen) == "order.backup_alone"
