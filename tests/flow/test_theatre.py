"""What the base admits of theatre: a day's list, checks, a second person, a surgery beside them."""

from datetime import UTC, datetime
from typing import Any

import pytest

from tests.flow.surgeries import surgery
from tests.flow.test_box import Shelf
from tests.hospital import Hospital, Phone, width_body
from webapp.demo_people import PASSPHRASE
from webapp.flow import box, boxes_aside, clock, desk_record, order
from webapp.flow.desk_record import Draft
from webapp.flow.refusal import NotFound, Refused
from webapp.records.draft import NO_CORRECTION, Correction, Subject
from webapp.records.errors import BadRecord
from webapp.store.database import writing

GS = "\u241d"


class Theatre:
    """A released lens, and the two people who stand in theatre with their own keys."""

    def __init__(self, hospital: Hospital) -> None:
        self.shelf = Shelf(hospital)
        self.case = self.shelf.case
        self.label = self.shelf.check()
        self.surgeon, self.nurse = hospital.phone("verrill"), hospital.phone("wren")

    def body(self, **changed: object) -> dict[str, Any]:
        """Return the body of a check that agrees, parts changed by name."""
        return {
            "order": self.shelf.order, "label": self.label, "person_confirmed": ["birth", "name"],
            "eye": "R", "code": f"]d201095060001343521731022810LOT7{GS}21SER9", "trace": None,
            "second_trace": None, "printed_same": 1, "incision_meridian_deg": None,
            "device_day": clock.today(), "outcome": "agrees", "why": None, "note": None, **changed,
        }  # fmt: skip

    def ended(self, **changed: object) -> dict[str, Any]:
        """Return the body of a lens that was not implanted."""
        return self.body(outcome="not_implanted", why="turned", note="Upside down", **changed)

    def check(self, **changed: object) -> str:
        """Have the surgeon check the lens; return the record."""
        body, now = self.body(**changed), clock.instant()
        return self.surgeon.keep("theatre.checked", self.case.person, "R", body, wall=now)

    def confirm(self, check: str, phone: Phone | None = None, **changed: object) -> str:
        """Have the nurse confirm a check; return the record."""
        return self.keep(phone or self.nurse, "theatre.confirmed", self.said(check, **changed))

    def said(self, check: str, **changed: object) -> dict[str, Any]:
        """Return the body of a confirmation; the lens of this eye has no cylinder."""
        return {"check": check, "marks": "seen", "axis_said": None, **changed}

    def operated(self, **changed: object) -> dict[str, Any]:
        """Return the body of the surgery of this lens, today."""
        return surgery(
            operated=clock.today(), lens=self.shelf.lens, serial="SER9", order=self.shelf.order,
            approval=self.case.approval, **changed,
        )  # fmt: skip

    def keep(self, phone: Phone, kind: str, body: dict[str, Any]) -> str:
        """Hand in a record about the right eye that is stored."""
        return phone.keep(kind, self.case.person, "R", body)

    def why_not(self, phone: Phone, kind: str, body: dict[str, Any], eye: str = "R") -> str:
        """Hand in a record that is refused; return code and field."""
        (receipt,) = phone.push(phone.record(kind, self.case.person, eye, body))
        assert receipt.result == "refused"
        assert receipt.reason is not None
        return receipt.reason.code

    def listed(self, replaces: str | None = None, **changed: object) -> str:
        """Put the eye on a list as the desk; return the record, or the refusal's code."""
        body = {"order": self.shelf.order, "operate_on": clock.today(), "place": None, **changed}
        subject = Subject(self.case.person, "R", "saltpan")
        moved = Correction(replaces, "Moved") if replaces else NO_CORRECTION
        try:
            with writing():
                return desk_record.write(
                    self.case.fenn, Draft("theatre.listed", subject, "desk", body, moved)
                )
        except Refused as refused:
            return refused.code

    def seen(self) -> dict[str, Any]:
        """Return what the fold says of theatre."""
        found: dict[str, Any] = self.shelf.eye()["theatre"]
        return found


@pytest.fixture
def theatre(hospital: Hospital) -> Theatre:
    """Return a lens that was released."""
    return Theatre(hospital)


class TestCheck:
    """A check is computed again from the order and the box that it names."""

    def test_counts_with_its_second_person(self, theatre: Theatre) -> None:
        """The eye stays verified until surgery."""
        check = theatre.check()
        second = theatre.confirm(check)
        found = theatre.seen()
        assert (found["check"]["id"], found["confirmed"]["id"]) == (check, second)
        assert theatre.shelf.eye()["state"] == "verified"

    @pytest.mark.parametrize(
        "changed",
        [
            {"outcome": "differs"},
            {"eye": "L"},
            {"printed_same": 0},
            {"code": f"]d201095060001343521731022810LOT7{GS}21SER8"},
            {"code": None, "trace": {"lot": "LOT7", "serial": "SER9", "expiry_date": "2031-02-28"}},
            {"device_day": "2031-03-01"},
        ],
        ids=["none differs", "other eye", "other print", "other serial", "one person", "expired"],
    )
    def test_a_claim_that_does_not_hold(self, theatre: Theatre, changed: dict[str, Any]) -> None:
        """I16, I19: whoever signed it."""
        code = theatre.why_not(theatre.surgeon, "theatre.checked", theatre.body(**changed))
        assert code == "theatre.outcome"

    def test_that_stopped_by_what_the_tablet_had_heard(
        self, theatre: Theatre, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """H31: its own clocks are set back; that it stopped all the same is no false claim."""
        monkeypatch.setattr(clock, "utc_now", lambda: datetime(2031, 3, 1, 8, tzinfo=UTC))
        stopped = theatre.body(outcome="differs", device_day="2027-01-02")
        header = {"wall": "2027-01-02T08:00:00.000Z"}
        theatre.surgeon.keep("theatre.checked", theatre.case.person, "R", stopped, **header)
        assert theatre.seen()["ready"] == 0

    def test_of_this_eye_and_order(self, theatre: Theatre) -> None:
        """I16: eye of the record, of the order and of the box are one."""
        phone = theatre.surgeon
        assert theatre.why_not(phone, "theatre.checked", theatre.body(), "L") == "order.other"
        body = theatre.body(order="a" * 64)
        assert theatre.why_not(phone, "theatre.checked", body) == "order.unknown"
        body = theatre.body(label="a" * 64)
        assert theatre.why_not(phone, "theatre.checked", body) == "label.unknown"

    def test_a_box_of_the_order_before(self, theatre: Theatre) -> None:
        """What was released for a cancelled order is no box of the next one."""
        order.cancel(theatre.case.fenn, theatre.shelf.order, "Broken", PASSPHRASE, "Taken back")
        case = theatre.case
        request = case.camp.send_for_plan(case.person, "R")
        theatre.shelf.order = case.place(approval=case.surgeon.approve(case.person, "R", request))
        code = theatre.why_not(theatre.surgeon, "theatre.checked", theatre.body())
        assert code == "label.other"

    def test_a_damaged_code(self, theatre: Theatre) -> None:
        """H34: no record says what the core cannot read."""
        body = theatre.body(code="]d201095060001343521731022810LOT721SER9")
        assert theatre.why_not(theatre.surgeon, "theatre.checked", body) == "theatre.unreadable"

    def test_a_box_that_had_differed(self, theatre: Theatre) -> None:
        """A check of the box that differed releases nothing in theatre either."""
        # Its code says another serial number than its print, which is read alone in theatre.
        read = theatre.shelf.read()._replace(label=theatre.shelf.label(serial="SER8"))
        differed = box.check(theatre.case.fenn, theatre.shelf.order, read, None)
        trace = {"lot": "LOT7", "serial": "SER8", "expiry_date": "2031-02-28"}
        body = theatre.body(label=differed, code=None, trace=trace, second_trace=trace)
        code = theatre.why_not(theatre.surgeon, "theatre.checked", body)
        assert code == "theatre.outcome"

    def test_is_not_lost_to_what_came_meanwhile(self, theatre: Theatre) -> None:
        """Made without network before the base heard of a new reading: kept, and not ready."""
        envelope = theatre.surgeon.record(
            "theatre.checked", theatre.case.person, "R", theatre.body()
        )
        theatre.case.camp.keep("reading.white_to_white", theatre.case.person, "R", width_body())
        (receipt,) = theatre.surgeon.push(envelope)
        assert receipt.result == "stored"
        assert (theatre.seen()["ready"], theatre.seen()["check"]) == (0, None)


class TestSecondPerson:
    """Another person, with a key of their own."""

    def test_is_not_the_first(self, theatre: Theatre) -> None:
        """Nor by another key of the same person."""
        said = theatre.said(theatre.check())
        for phone in (theatre.surgeon, theatre.case.hospital.phone("verrill")):
            assert theatre.why_not(phone, "theatre.confirmed", said) == "theatre.same_person"

    @pytest.mark.parametrize("marks", [None, "not_seen"])
    def test_has_seen_the_marks(self, theatre: Theatre, marks: str | None) -> None:
        """H32: without that no record can be written, nor is one taken."""
        said = theatre.said(theatre.check(), marks=marks)
        with pytest.raises(BadRecord):
            theatre.nurse.record("theatre.confirmed", theatre.case.person, "R", said)
        assert theatre.seen()["confirmed"] is None

    def test_confirms_what_agreed(self, theatre: Theatre) -> None:
        """Nothing is confirmed by a check that ended, or that is not here."""
        ended = theatre.keep(theatre.surgeon, "theatre.checked", theatre.ended())
        for check, code in ((ended, "theatre.not_agreed"), ("a" * 64, "check.unknown")):
            said = theatre.said(check)
            assert theatre.why_not(theatre.nurse, "theatre.confirmed", said) == code

    def test_an_axis_of_a_lens_that_has_none(self, theatre: Theatre) -> None:
        """Whoever says one has another lens in mind."""
        said = theatre.said(theatre.check(), axis_said=1)
        assert theatre.why_not(theatre.nurse, "theatre.confirmed", said) == "theatre.axis"

    def test_both_in_one_batch(self, theatre: Theatre) -> None:
        """A tablet that was offline hands in both at once."""
        check = theatre.surgeon.record("theatre.checked", theatre.case.person, "R", theatre.body())
        (kept,) = theatre.surgeon.push(check)
        theatre.confirm(kept.id)
        assert theatre.seen()["confirmed"] is not None


class TestStopped:
    """A lens that theatre stopped goes back to the desk."""

    def test_and_its_new_check_names_it(self, theatre: Theatre) -> None:
        """The desk's next check has seen it by itself, and releases the box again."""
        ended = theatre.keep(theatre.surgeon, "theatre.checked", theatre.ended())
        assert (theatre.seen()["ready"], theatre.shelf.eye()["state"]) == (0, "received")
        assert theatre.shelf.eye()["box"]["doubts"] == [ended]
        theatre.shelf.check()
        assert (theatre.seen()["ready"], theatre.seen()["stopped"]) == (1, [])

    def test_its_author_cannot_take_it_back(self, theatre: Theatre) -> None:
        """Neither a check that ended nor one that agreed."""
        ended = theatre.keep(theatre.surgeon, "theatre.checked", theatre.ended())
        envelope = theatre.surgeon.record(
            "record.void", theatre.case.person, "R", {"target": ended}, reason="A slip"
        )
        (receipt,) = theatre.surgeon.push(envelope)
        assert receipt.reason is not None
        assert receipt.reason.code == "target.kind"


class TestList:
    """One day for an eye, by the desk."""

    def test_once_and_moved(self, theatre: Theatre) -> None:
        """A second day names the first."""
        first = theatre.listed()
        assert theatre.listed() == "theatre.listed_twice"
        theatre.listed(first, operate_on="2031-01-02")
        assert theatre.seen()["listed"]["operate_on"] == "2031-01-02"

    def test_not_for_a_day_that_is_over(self, theatre: Theatre) -> None:
        """A slip of the year."""
        assert theatre.listed(operate_on="2026-11-01") == "theatre.past"

    def test_not_for_an_order_that_ended(self, theatre: Theatre) -> None:
        """Nothing is implanted of a cancelled order."""
        order.cancel(theatre.case.fenn, theatre.shelf.order, "Broken", PASSPHRASE, "Taken back")
        assert theatre.listed() == "theatre.no_order"

    def test_taken_off_by_the_desk(self, theatre: Theatre) -> None:
        """Somebody in another role does not."""
        first = theatre.listed()
        envelope = theatre.surgeon.record(
            "record.void", theatre.case.person, "R", {"target": first}, reason="Not today"
        )
        (receipt,) = theatre.surgeon.push(envelope)
        assert receipt.reason is not None
        assert receipt.reason.code == "target.desk"
        with writing():
            draft = Draft(
                "record.void", Subject(theatre.case.person, "R", "saltpan"), "desk",
                {"target": first}, Correction(None, "Not today"),
            )  # fmt: skip
            desk_record.write(theatre.case.fenn, draft)
        assert theatre.seen()["listed"] is None


class TestSurgery:
    """I21: what names a check fits it; what names none is taken, and said."""

    def test_with_its_check(self, theatre: Theatre) -> None:
        """Nothing is left to say."""
        check = theatre.check()
        theatre.confirm(check)
        theatre.keep(theatre.surgeon, "surgery.implanted", theatre.operated(theatre_check=check))
        assert theatre.shelf.eye()["surgeries"][0]["unchecked"] is None

    def test_without_one_is_taken(self, theatre: Theatre) -> None:
        """What was done is never refused for a check that was not made."""
        reason = {"theatre_check": None, "unchecked_reason": "The tablet did not start"}
        theatre.keep(theatre.surgeon, "surgery.implanted", theatre.operated(**reason))
        found = [one for one in theatre.shelf.eye()["findings"] if one["cause"] == "theatre"]
        assert [one["code"] for one in found] == ["theatre.unchecked"]
        assert "The tablet did not start" in found[0]["text"]

    def test_before_the_second_person_is_heard_of(self, theatre: Theatre) -> None:
        """The nurse's own chain may arrive later."""
        check = theatre.check()
        theatre.keep(theatre.surgeon, "surgery.implanted", theatre.operated(theatre_check=check))
        assert theatre.shelf.eye()["surgeries"][0]["unchecked"] is not None
        theatre.confirm(check)
        assert theatre.shelf.eye()["surgeries"][0]["unchecked"] is None

    @pytest.mark.parametrize(
        "changed",
        [{"serial": "SER8"}, {"serial": None}, {"operated": "2026-11-01"}],
        ids=["another serial number", "none", "another day"],
    )
    def test_with_a_check_of_something_else(
        self, theatre: Theatre, changed: dict[str, Any]
    ) -> None:
        """Refused by its field."""
        body = {**theatre.operated(theatre_check=theatre.check()), **changed}
        assert theatre.why_not(theatre.surgeon, "surgery.implanted", body) == "surgery.check"

    def test_with_a_check_that_ended_or_is_not_here(self, theatre: Theatre) -> None:
        """A lens that was stopped was not checked; a check on its way is waited for."""
        ended = theatre.keep(theatre.surgeon, "theatre.checked", theatre.ended())
        for check, code in ((ended, "surgery.check"), ("a" * 64, "theatre_check.unknown")):
            body = theatre.operated(theatre_check=check)
            assert theatre.why_not(theatre.surgeon, "surgery.implanted", body) == code


class TestImplanted:
    """I20: a lens that lies in an eye is checked for no other."""

    def test_at_the_desk_and_in_theatre(self, theatre: Theatre) -> None:
        """Its serial number stops a check of a box, and one in theatre."""
        person = theatre.case.camp.register(name="Ines Corvane", birth_year=1971, phone=None)
        theatre.surgeon.keep("surgery.implanted", person, "L", surgery(serial="ser 9"))
        assert theatre.shelf.why_not() == "label.implanted"
        code = theatre.why_not(theatre.surgeon, "theatre.checked", theatre.body())
        assert code == "theatre.serial"

    def test_not_once_that_record_was_withdrawn(self, theatre: Theatre) -> None:
        """A serial number that was misread is free again."""
        person = theatre.case.camp.register(name="Ines Corvane", birth_year=1971, phone=None)
        done = theatre.surgeon.keep("surgery.implanted", person, "L", surgery(serial="SER9"))
        theatre.surgeon.keep("record.void", person, "L", {"target": done}, reason="Misread")
        theatre.shelf.check()

    def test_a_late_check_of_the_same_eye(self, theatre: Theatre) -> None:
        """The surgery arrived first; the tablet's check of that very lens is no second one."""
        theatre.keep(theatre.surgeon, "surgery.implanted", theatre.operated())
        theatre.check()


class TestPutAside:
    """A box put aside waits for the desk to say what became of it; it stops nothing."""

    OTHER = f"]d201095060001343521731022810LOT7{GS}21SER1"

    def body(self, theatre: Theatre, **changed: object) -> dict[str, Any]:
        """Return that another box was put aside."""
        return {
            "order": theatre.shelf.order, "code": self.OTHER, "trace": None, "second_trace": None,
            "why": "another", **changed,
        }  # fmt: skip

    def put(self, theatre: Theatre) -> str:
        """Put another box aside in theatre; return the record."""
        return theatre.keep(theatre.nurse, "box.put_aside", self.body(theatre))

    def test_waits_for_its_answer(self, theatre: Theatre) -> None:
        """The eye stays ready; the answer takes the box off the list, once."""
        box_id = self.put(theatre)
        assert theatre.seen()["ready"] == 1
        fenn = theatre.case.fenn
        (one,) = boxes_aside.waiting(fenn)
        assert (one.id, one.serials, one.by) == (box_id, ["SER1"], "N. Wren")
        with pytest.raises(Refused):
            boxes_aside.answer(fenn, box_id, "shelf", None, "not the passphrase")
        assert boxes_aside.waiting(fenn) == [one]
        boxes_aside.answer(fenn, box_id, "shelf", None, PASSPHRASE)
        assert boxes_aside.waiting(fenn) == []
        with pytest.raises(NotFound):
            boxes_aside.answer(fenn, box_id, "destroyed", None, PASSPHRASE)

    def test_a_stop_waits_too_and_a_new_check_of_the_box_answers_it(self, theatre: Theatre) -> None:
        """Nobody has to think of the box; the desk's check names the stop by itself."""
        stop = theatre.keep(theatre.surgeon, "theatre.checked", theatre.ended())
        (one,) = boxes_aside.waiting(theatre.case.fenn)
        assert (one.id, one.serials) == (stop, ["SER9"])
        theatre.shelf.check()
        assert boxes_aside.waiting(theatre.case.fenn) == []

    def test_of_another_order_or_by_another_person_is_refused(self, theatre: Theatre) -> None:
        """The order must be of this eye; an answer must name a box that is put aside."""
        unknown = self.body(theatre, order="0" * 64)
        assert theatre.why_not(theatre.nurse, "box.put_aside", unknown) == "order.unknown"
        other = theatre.why_not(theatre.nurse, "box.put_aside", self.body(theatre), eye="L")
        assert other == "order.other"
        for name in (theatre.label, theatre.check()):
            body = {"aside": name, "becomes": "kept", "note": None}
            subject = Subject(theatre.case.person, "R", "saltpan")
            with pytest.raises(Refused) as refused, writing():
                desk_record.write(theatre.case.fenn, Draft("box.answered", subject, "desk", body))
            assert refused.value.code in ("aside.unknown", "aside.answered")

    def test_is_of_its_own_sites(self, hospital: Hospital, theatre: Theatre) -> None:
        """Another camp's desk neither sees nor answers it."""
        box_id = self.put(theatre)
        quill = hospital.actor("quill")
        assert boxes_aside.waiting(quill) == []
        with pytest.raises(NotFound):
            boxes_aside.find(quill, box_id)
