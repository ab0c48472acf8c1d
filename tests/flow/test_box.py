"""The box that came for an order: two people, one lens, no way past a difference."""

import json
from datetime import UTC, datetime
from typing import Any

import pytest

from tests.flow.test_order import Case
from tests.hospital import CATALOGUE, Hospital, width_body
from tests.ordered import lens_of
from webapp.demo_people import PASSPHRASE
from webapp.flow import (
    accounts,
    box,
    casefile,
    clock,
    desk_record,
    order,
    order_progress,
    reference,
)
from webapp.flow.actor import Actor
from webapp.flow.box import BadInput, Read, Second
from webapp.flow.desk_record import Draft
from webapp.flow.refusal import NotFound, Refused
from webapp.records.draft import Subject
from webapp.store import journal
from webapp.store.database import writing

GS = "\x1d"


class Shelf:
    """An ordered lens, and the box that comes for it."""

    def __init__(self, hospital: Hospital) -> None:
        self.case = Case(hospital)
        self.fenn = self.case.fenn
        self.order = self.case.place()
        order_progress.arrive(self.fenn, self.order, clock.today())

    @property
    def lens(self) -> dict[str, Any]:
        """The ordered lens."""
        return lens_of(self.order)

    def label(self, **changed: object) -> dict[str, Any]:
        """Return what the label of the right box says, but for what is changed."""
        traced = {"lot": "LOT7", "serial": "SER9", "expiry_date": "2031-02-28"}
        return {**self.lens, **traced, **changed}

    def read(self, lot: str = "LOT7", serial: str = "SER9", **changed: object) -> Read:
        """Return the right box as the person signed in reads it."""
        code = f"]d201095060001343521731022810{lot}{GS}21{serial}"
        return Read(code, self.label(lot=lot, serial=serial, **changed), clock.today())

    def again(self, name: str = "verrill", passphrase: str = PASSPHRASE, **changed: object
              ) -> Second:  # fmt: skip
        """Return the same label as a second person reads it."""
        blank = {"lot": None, "serial": None, "expiry_date": None}
        return Second(name, passphrase, {**self.lens, **blank, **changed})

    def check(self, read: Read | None = None, second: Second | None = None) -> str:
        """Record a check by two people."""
        return box.check(self.fenn, self.order, read or self.read(), second or self.again())

    def why_not(self, read: Read | None = None, second: Second | None = None) -> str:
        """Return the code of the refusal."""
        with pytest.raises(Refused) as refused:
            self.check(read, second)
        return refused.value.code

    def eye(self) -> dict[str, Any]:
        """Return the right eye's file."""
        fold = casefile.person_file(self.fenn, self.case.person).fold
        found: dict[str, Any] = fold["eyes"]["R"]
        return found


@pytest.fixture
def shelf(hospital: Hospital) -> Shelf:
    """Return an ordered lens."""
    return Shelf(hospital)


class TestCheck:
    """What two people record together."""

    def test_the_right_box_verifies_the_eye(self, shelf: Shelf) -> None:
        """The record holds the scan with its separators to be seen, both readings and who."""
        made = shelf.check()
        body = json.loads(journal.entries_by_id([made])[made].payload)["body"]
        assert body["outcome"] == "agrees"
        assert body["code"] == "]d201095060001343521731022810LOT7\u241d21SER9"
        assert body["gtin"] == "09506000134352"
        assert body["second_person"] == shelf.case.hospital.actor("verrill").user_id
        assert shelf.eye()["state"] == "verified"
        assert shelf.eye()["box"]["verified"] == made

    def test_one_person_alone_cannot(self, shelf: Shelf) -> None:
        """Without a second person nothing is recorded, though all agrees."""
        with pytest.raises(Refused) as refused:
            box.check(shelf.fenn, shelf.order, shelf.read(), None)
        assert refused.value.code == "label.unread"
        assert shelf.eye()["state"] == "received"

    def test_the_second_person_is_another_one(self, shelf: Shelf) -> None:
        """Nor does the same person twice, a wrong passphrase, or somebody of elsewhere."""
        assert shelf.why_not(second=shelf.again("fenn")) == "label.second"
        assert shelf.why_not(second=shelf.again(passphrase="not this one")) == "sign_in.wrong"
        assert shelf.why_not(second=shelf.again("rook")) == "label.second"
        assert shelf.eye()["state"] == "received"

    def test_a_difference_is_recorded_by_one_person_and_stops(self, shelf: Shelf) -> None:
        """A box that differs is on record at once, with no second person."""
        made = box.check(shelf.fenn, shelf.order, shelf.read(length_um=12000), None)
        found = box.find(shelf.fenn, made)
        assert found.answer["outcome"] == "differs"
        assert (found.first_name, found.second_name) == ("L. Fenn", None)
        eye = shelf.eye()
        assert eye["state"] == "received"
        assert "box.differs" in [one["code"] for one in eye["findings"]]

    def test_the_right_box_after_a_wrong_one(self, shelf: Shelf) -> None:
        """The later check names the earlier one, so that the stop goes and the eye is verified."""
        wrong = box.check(shelf.fenn, shelf.order, shelf.read(sphere_cD=-500), None)
        made = shelf.check()
        body = json.loads(journal.entries_by_id([made])[made].payload)["body"]
        assert body["seen"] == [wrong]
        eye = shelf.eye()
        assert (eye["state"], eye["box"]["unseen"]) == ("verified", [])

    def test_a_wrong_box_after_the_right_one_takes_the_release_away(self, shelf: Shelf) -> None:
        """What was verified is so no longer until somebody has looked again."""
        shelf.check()
        box.check(shelf.fenn, shelf.order, shelf.read(serial="SER8", sphere_cD=-500), None)
        assert shelf.eye()["state"] == "received"
        shelf.check()
        assert shelf.eye()["state"] == "verified"

    def test_two_lenses_for_one_order(self, shelf: Shelf) -> None:
        """Two boxes that both agree are one too many: neither is released."""
        shelf.check()
        shelf.check(shelf.read(serial="SER8"))
        eye = shelf.eye()
        assert eye["state"] == "received"
        assert "box.two_lenses" in [one["code"] for one in eye["findings"]]

    def test_code_and_print_that_differ(self, shelf: Shelf) -> None:
        """H35: the serial number printed is not the one coded."""
        read = shelf.read()._replace(label=shelf.label(serial="SER8"))
        made = box.check(shelf.fenn, shelf.order, read, None)
        rows = {row["field"]: row["why"] for row in box.find(shelf.fenn, made).answer["rows"]}
        assert rows["serial"] == "readings_differ"

    def test_a_damaged_code_records_nothing(self, shelf: Shelf) -> None:
        """H34: a separator lost after the lot, and a wrong check digit."""
        for code in ("]d201095060001343521731022810LOT721SER9", "]d20109506000134353"):
            with pytest.raises(BadInput) as refused:
                shelf.check(shelf.read()._replace(code=code))
            assert refused.value.field == "code"
        assert shelf.eye()["box"]["checks"] == []


class TestLast:
    """The last day by the worse of two clocks (H31)."""

    @pytest.mark.parametrize(
        ("day", "outcome"), [("2031-02-28", "agrees"), ("2031-03-01", "differs")]
    )
    def test_the_browsers_clock_may_be_the_later_one(
        self, shelf: Shelf, day: str, outcome: str
    ) -> None:
        """A browser that says it is past the last day stops the box."""
        made = shelf.check(shelf.read()._replace(device_day=day))
        assert box.find(shelf.fenn, made).answer["outcome"] == outcome

    def test_the_servers_clock_may_be_the_later_one(self, shelf: Shelf) -> None:
        """A browser whose clock is behind makes no lens good."""
        old = shelf.label(expiry_date="2020-01-31")
        made = box.check(shelf.fenn, shelf.order, Read(None, old, "2020-01-01"), None)
        rows = {row["field"]: row["why"] for row in box.find(shelf.fenn, made).answer["rows"]}
        assert rows["expiry_date"] == "expired"

    def test_a_clock_that_is_known_to_be_behind_judges_no_last_day(
        self, shelf: Shelf, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Records came in on a later day than this server says it is: nothing is compared."""
        monkeypatch.setattr(clock, "utc_now", lambda: datetime(2026, 1, 2, 8, tzinfo=UTC))
        with pytest.raises(Refused) as refused:
            box.compare(shelf.fenn, shelf.order, shelf.read())
        assert refused.value.code == "clock.behind"
        assert "2 Jan 2026" in refused.value.message
        assert shelf.why_not() == "clock.behind"
        assert shelf.eye()["box"]["checks"] == []


class TestOneLens:
    """A lens serves one order."""

    def another(self, shelf: Shelf) -> str:
        """Return the order of another person's eye, of the same lens."""
        case = shelf.case
        person = case.camp.register(name="Tove Brandal", birth_year=1988, phone=None)
        case.camp.measure(person, "R")
        approval = case.surgeon.approve(person, "R", case.camp.send_for_plan(person, "R"))
        placed = order.place(case.fenn, person, "R", approval, PASSPHRASE)
        order_progress.arrive(case.fenn, placed, clock.today())
        return placed

    def test_a_serial_is_never_taken_for_two_orders(self, shelf: Shelf) -> None:
        """The same lot or product number and serial number, capitals and spaces aside."""
        shelf.check()
        other = self.another(shelf)
        for read in (shelf.read(), shelf.read(serial="ser9"), shelf.read(lot="OTHER")):
            with pytest.raises(Refused) as refused:
                box.check(shelf.fenn, other, read, shelf.again())
            assert refused.value.code == "label.serial"
        box.check(shelf.fenn, other, shelf.read(serial="SER10"), shelf.again())

    def test_the_same_lens_is_checked_again_for_its_own_order(self, shelf: Shelf) -> None:
        """Looking twice is no second lens."""
        shelf.check()
        shelf.check()
        assert shelf.eye()["state"] == "verified"


OF_OTHER_MODEL, OF_NONE = "06291041500213", "01234567890128"


def listing(ordered: str, other: str) -> dict[str, Any]:
    """Return the catalogue with a product number of the ordered model, and of another one."""
    model: dict[str, Any] = CATALOGUE["models"][0]  # type: ignore[index,assignment]
    models = [{**model, "gtins": [ordered]}, {**model, "model": "Model B", "gtins": [other]}]
    return {**CATALOGUE, "models": models}


class TestProductNumber:
    """A code's product number beside the lists of the catalogue that the approval names.

    GS1's worked check digits: 0950600013435 gives 2, 629104150021 gives 3, 0123456789012 gives 8.
    """

    GTIN = "09506000134352"

    @pytest.fixture
    def listed(self, hospital: Hospital, monkeypatch: pytest.MonkeyPatch) -> Shelf:
        """Return an ordered lens; the catalogue lists numbers, and another one came since."""
        catalogue = listing(self.GTIN, OF_OTHER_MODEL)
        monkeypatch.setattr("tests.hospital.CATALOGUE", catalogue)
        shelf = Shelf(hospital)
        later = listing(OF_OTHER_MODEL, self.GTIN)
        reference.adopt(hospital.actor("rook"), "catalogue.adopted", later)
        return shelf

    def outcome(self, shelf: Shelf, gtin: str) -> tuple[str, str]:
        """Return outcome and reason of a box whose code holds this number."""
        read = shelf.read()
        read = read._replace(code=str(read.code).replace(self.GTIN, gtin))
        made = shelf.check(read)
        rows = {row["field"]: row for row in box.find(shelf.fenn, made).answer["rows"]}
        return rows["gtin"]["outcome"], rows["gtin"]["why"]

    def test_of_the_ordered_model(self, listed: Shelf) -> None:
        """Though the catalogue in force now says otherwise."""
        assert self.outcome(listed, self.GTIN) == ("agrees", "")
        assert listed.eye()["box"]["verified"] is not None

    def test_of_another_model_stops(self, listed: Shelf) -> None:
        """However well the print agrees."""
        assert self.outcome(listed, OF_OTHER_MODEL) == ("differs", "other_model")
        assert "box.differs" in [one["code"] for one in listed.eye()["findings"]]

    def test_an_unknown_one_is_only_said(self, listed: Shelf) -> None:
        """A maker's newest number may not be listed yet."""
        assert self.outcome(listed, OF_NONE) == ("agrees", "unknown_number")


class TestOrder:
    """Which orders a box may be held against."""

    def test_not_a_cancelled_one(self, shelf: Shelf) -> None:
        """The box of an order that ended is implanted in nobody."""
        order.cancel(shelf.fenn, shelf.order, "Moved away", PASSPHRASE, "Taken back")
        assert shelf.why_not() == "order.cancelled"

    def test_not_one_that_ended_while_a_passphrase_was_typed(
        self, shelf: Shelf, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """A colleague cancels it, and the lens of the next order arrives, in that moment."""
        known = accounts.witness

        def meanwhile(*said: str) -> Actor:
            order.cancel(shelf.fenn, shelf.order, "Broken on the way", PASSPHRASE, "Taken back")
            order_progress.arrive(shelf.fenn, self.next_order(shelf), clock.today())
            return known(*said)

        monkeypatch.setattr(accounts, "witness", meanwhile)
        assert shelf.why_not() == "order.cancelled"

    def next_order(self, shelf: Shelf) -> str:
        """Order the lens of this eye again."""
        case = shelf.case
        request = case.camp.send_for_plan(case.person, "R")
        return case.place(approval=case.surgeon.approve(case.person, "R", request))

    def test_the_next_order_begins_without_a_box(self, shelf: Shelf) -> None:
        """What agreed with a cancelled order releases no lens of the one after it."""
        shelf.check()
        assert shelf.eye()["state"] == "verified"
        order.cancel(shelf.fenn, shelf.order, "Broken on the way", PASSPHRASE, "Taken back")
        shelf.order = self.next_order(shelf)
        order_progress.arrive(shelf.fenn, shelf.order, clock.today())
        assert (shelf.eye()["state"], shelf.eye()["box"]["checks"]) == ("received", [])

    def test_not_before_it_arrived(self, hospital: Hospital) -> None:
        """A box in hand is recorded as arrived first."""
        case = Case(hospital)
        read = Read(None, {**lens_of(case.place())}, None)
        with pytest.raises(Refused) as refused:
            box.compare(case.fenn, order.order_of_case(case.fenn, case.person, "R") or "", read)
        assert refused.value.code == "box.not_here"

    def test_not_while_something_late_is_unanswered(self, shelf: Shelf) -> None:
        """H23: a reading after the order holds the lens back, before the check and after it."""
        shelf.check()
        shelf.case.camp.keep("reading.white_to_white", shelf.case.person, "R", width_body(12100))
        assert shelf.eye()["state"] == "received"
        assert shelf.why_not() == "box.late"

    def test_not_of_another_site(self, shelf: Shelf, hospital: Hospital) -> None:
        """Somebody of elsewhere finds no such order; a surgeon reads and cannot check."""
        stranger = Actor("u-x", "x", "X", ())
        with pytest.raises(NotFound):
            box.compare(stranger, shelf.order, shelf.read())
        with pytest.raises(Refused) as refused:
            box.compare(hospital.actor("verrill"), shelf.order, shelf.read())
        assert refused.value.code == "role.missing"


class TestAdmission:
    """What a record claims is computed again, whoever signed it."""

    def write(self, shelf: Shelf, eye: str = "R", **changed: object) -> str:
        """Return the refusal of a signed check whose body was changed, or an empty text."""
        body = {
            "order": shelf.order, "code": None, "gtin": None, "first": shelf.label(),
            "second": shelf.label(), "second_person": shelf.case.hospital.actor("verrill").user_id,
            "device_day": clock.today(), "seen": [], "outcome": "agrees", **changed,
        }  # fmt: skip
        subject = Subject(shelf.case.person, eye, "saltpan")
        try:
            with writing():
                desk_record.write(shelf.fenn, Draft("label.checked", subject, "desk", body))
        except Refused as refused:
            return refused.code
        return ""

    def test_good(self, shelf: Shelf) -> None:
        """The record that the cases below change is a good one."""
        assert self.write(shelf) == ""

    def test_a_claim_that_does_not_hold(self, shelf: Shelf) -> None:
        """Agrees where a value differs, differs where none does, or another product number."""
        wrong = shelf.label(length_um=12000)
        assert self.write(shelf, first=wrong, second=wrong) == "label.outcome"
        assert self.write(shelf, second=wrong) == "label.outcome"
        assert self.write(shelf, outcome="differs") == "label.outcome"
        assert self.write(shelf, gtin="09506000134352") == "label.outcome"
        past = shelf.label(expiry_date="2026-01-01")
        assert self.write(shelf, first=past, second=past) == "label.outcome"

    def test_another_eye_or_order(self, shelf: Shelf) -> None:
        """The order is of this very eye."""
        assert self.write(shelf, eye="L") == "order.other"
        assert self.write(shelf, order="a" * 64) == "order.unknown"
        assert self.write(shelf, seen=["a" * 64]) == "seen.unknown"

    def test_a_check_of_another_eye_was_not_seen(self, shelf: Shelf) -> None:
        """Whoever names somebody else's wrong box has not looked at this eye's own."""
        other = TestOneLens().another(shelf)
        wrong = Read(None, shelf.label(serial="SER10", length_um=12000), clock.today())
        differed = box.check(shelf.fenn, other, wrong, None)
        assert self.write(shelf, seen=[differed]) == "seen.unknown"

    def test_the_second_person(self, shelf: Shelf) -> None:
        """Not the author, nobody unknown, nobody without a role there."""
        assert self.write(shelf, second_person=shelf.fenn.user_id) == "record.bad"
        assert self.write(shelf, second_person="u-nobody") == "label.second"
        rook = shelf.case.hospital.actor("rook").user_id
        assert self.write(shelf, second_person=rook) == "label.second"

    def test_a_damaged_code(self, shelf: Shelf) -> None:
        """No record says what the core cannot read."""
        assert self.write(shelf, code="]d20109506000134353") == "label.unreadable"
