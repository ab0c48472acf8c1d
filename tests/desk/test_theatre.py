"""The theatre's list at the desk: who is on it, putting on, moving, taking off, and its paper."""

import io
from html import unescape
from pathlib import Path

import pypdf
import pytest

from tests.desk.conftest import Desk
from tests.flow.test_theatre import Theatre
from tests.hospital import Hospital, width_body
from webapp.core.box import seat
from webapp.core.case import theatre_sheet
from webapp.demo_people import PASSPHRASE
from webapp.desk import kind_words, sheet_content, theatre_paper
from webapp.desk.moments import now
from webapp.flow import clock, order, theatre_list

PAGE = "/desk/theatre"
LATER = "2031-01-02"


@pytest.fixture
def theatre(hospital: Hospital) -> Theatre:
    """Return a lens that was released."""
    return Theatre(hospital)


def put(desk: Desk, theatre: Theatre, **changed: str) -> str:
    """Put the eye on today's list, and return the page."""
    desk.get(PAGE)
    fields = {"order": theatre.shelf.order, "operate_on": clock.today(), "place": "Theatre 2",
              "passphrase": PASSPHRASE, **changed}  # fmt: skip
    return unescape(desk.post(PAGE, **fields).text)


def page(desk: Desk, day: str = "") -> str:
    """Return the page of a day."""
    return unescape(desk.get(f"{PAGE}?day={day}" if day else PAGE).text)


class TestList:
    """One page, by day."""

    def test_is_empty_at_first_and_offers_what_is_ordered(
        self, desk: Desk, theatre: Theatre
    ) -> None:
        """Nothing is ticked or filled in."""
        found = page(desk)
        assert "Nobody is on the list" in found
        assert f'value="{theatre.shelf.order}">' in found
        assert "Orla Fennimore" in found

    def test_shows_a_ready_eye_with_its_box(self, desk: Desk, theatre: Theatre) -> None:
        """Name, second identifier, eye, lens, serial number; and the eye is offered no more."""
        found = put(desk, theatre)
        assert "right eye: on the list." in found
        assert "Ready.</strong> Serial number SER9, use by 28 Feb 2031" in found
        assert "Theatre 2" in found and "Born in 1996" in found
        assert "No ordered eye waits for a day." in found

    def test_says_why_an_eye_is_not_ready(self, desk: Desk, theatre: Theatre) -> None:
        """Something that came after the order takes it away again."""
        put(desk, theatre)
        theatre.case.camp.keep("reading.white_to_white", theatre.case.person, "R", width_body())
        found = page(desk)
        assert "Not ready." in found and "Ready.</strong>" not in found

    def test_needs_a_day_a_tick_and_the_passphrase(self, desk: Desk, theatre: Theatre) -> None:
        """Each is said, and nothing is recorded."""
        assert "Give the day" in put(desk, theatre, operate_on="")
        assert "Type your passphrase" in put(desk, theatre, passphrase="")
        assert "Tick the eyes" in put(desk, theatre, order="")
        assert "The passphrase is not right" in put(desk, theatre, passphrase="not this one")
        assert theatre.seen()["listed"] is None

    def test_a_day_that_is_over_is_said_beside_the_eye(self, desk: Desk, theatre: Theatre) -> None:
        """The one eye was not put on the list, and the reason is there."""
        assert "That day is over" in put(desk, theatre, operate_on="2026-01-01")

    def test_moved_and_taken_off(self, desk: Desk, theatre: Theatre) -> None:
        """Both with a reason and the passphrase; the page of each day says it."""
        put(desk, theatre)
        address = f"{PAGE}/{theatre.shelf.order}"
        assert "Move the right eye" in unescape(desk.get(address).text)
        said = {"operate_on": LATER, "place": "", "reason": "Surgeon away"}
        assert "signed for" in unescape(desk.post(f"{address}/move", **said).text)
        desk.post(f"{address}/move", **said, passphrase=PASSPHRASE)
        assert "Orla Fennimore" not in page(desk).split('id="off"')[0]
        assert "Orla Fennimore" in page(desk, LATER)
        assert "2 Jan 2031: 1 eye" in page(desk)
        desk.get(address)
        desk.post(f"{address}/off", off_reason="Cough", off_passphrase=PASSPHRASE)
        assert theatre.seen()["listed"] is None
        assert "Nobody is on the list" in page(desk, LATER)

    def test_who_may_read_and_who_may_write(self, hospital: Hospital, theatre: Theatre) -> None:
        """Theatre reads the list of its sites; the desk alone writes it."""
        theatre.listed()
        for name, status in (("wren", 200), ("verrill", 200), ("birch", 403), ("rook", 403)):
            client = hospital.client(name)
            assert client.get(PAGE).status_code == status
            if status == 200:
                found = Desk(client).get(PAGE).text
                assert "Orla Fennimore" in found and "Put the ticked" not in found
        elsewhere = theatre_list.on(hospital.actor("quill"), clock.today())
        assert elsewhere == []

    def test_each_change_is_in_the_audit_log(self, desk: Desk, theatre: Theatre) -> None:
        """By the code of the page and the order's id, and never by a name."""
        put(desk, theatre)
        desk.get(f"{PAGE}/{theatre.shelf.order}")
        desk.post(f"{PAGE}/{theatre.shelf.order}/off", off_reason="x", off_passphrase=PASSPHRASE)
        log = Desk(theatre.case.hospital.client("birch")).get("/desk/audit-log").text
        assert "theatre.put:200" in log
        assert "theatre.off:302" in log and theatre.shelf.order in log
        assert "Fennimore" not in log


class TestBoxesAside:
    """What was put aside in theatre stands on the list until somebody says what became of it."""

    def test_is_listed_and_answered(self, desk: Desk, hospital: Hospital, theatre: Theatre) -> None:
        """With its serial number and the reason; theatre reads it, the desk answers."""
        assert "Boxes put aside" not in page(desk)
        stop = theatre.keep(theatre.surgeon, "theatre.checked", theatre.ended())
        found = page(desk)
        assert "Boxes put aside" in found and "Serial number SER9." in found
        assert "Upside down" in found and "Say what became of it" in found
        wren = Desk(hospital.client("wren"))
        assert "Say what became of it" not in page(wren) and "SER9" in page(wren)
        address = f"{PAGE}/aside/{stop}"
        assert "releases nothing" in desk.get(address).text
        assert "Say what became of it. It is still put aside." in unescape(
            desk.post(address, passphrase=PASSPHRASE).text
        )
        assert "signed for" in unescape(desk.post(address, becomes="returned").text)
        assert "Boxes put aside" in page(desk)
        desk.get(address)
        desk.post(address, becomes="returned", note="Fetched", passphrase=PASSPHRASE)
        assert "Boxes put aside" not in page(desk)
        assert desk.client.get(address).status_code == 404


class TestUnchecked:
    """A lens implanted without a check in theatre is said to whoever looks after it."""

    def test_to_surgeon_and_auditor(self, desk: Desk, theatre: Theatre) -> None:
        """On the case with the reason, and by number for the auditor, without either's name."""
        birch = Desk(theatre.case.hospital.client("birch"))
        said = "Implanted without a check in theatre"
        assert said not in birch.get("/desk/cases").text
        reason = {"theatre_check": None, "unchecked_reason": "The tablet did not start"}
        theatre.keep(theatre.surgeon, "surgery.implanted", theatre.operated(**reason))
        surgeon = Desk(theatre.case.hospital.client("verrill"))
        case = unescape(surgeon.get(f"/desk/case/{theatre.case.person}/R").text)
        assert said in case and "The tablet did not start" in case
        listed = birch.get("/desk/cases").text
        assert said in listed and "Fennimore" not in listed

    def test_a_check_kept_apart_is_readable(self, theatre: Theatre) -> None:
        """Lists and the box's numbers in words, not as a program writes them."""
        trace = {"lot": "LOT7", "serial": None, "expiry_date": "2031-02-28"}
        words = kind_words.body_words("theatre.checked", theatre.body(trace=trace))
        assert "Who it is, by: Birth date or year, Name" in words
        assert "Box as the author read it: Lot: LOT7, Use by: 28 Feb 2031" in words


class TestPaper:
    """The printed list, and the sheet of each ready eye."""

    def words(self, desk: Desk) -> str:
        """Return the text of today's paper."""
        answer = desk.get(f"{PAGE}/list.pdf?day={clock.today()}")
        assert answer.content_type == "application/pdf"
        pages = pypdf.PdfReader(io.BytesIO(answer.data)).pages
        return " ".join(" ".join(one.extract_text() for one in pages).split())

    def test_says_the_lens_and_the_cautions(self, desk: Desk, theatre: Theatre) -> None:
        """The lens as a sentence, the box, what is never done; void if not current."""
        put(desk, theatre)
        found = self.words(desk)
        assert "RIGHT EYE OD" in found and "Orla Fennimore" in found and "born in 1996" in found
        assert "serial number SER9, lot LOT7, use by 28 Feb 2031" in found
        assert "never turned over inside the eye" in found
        assert "The lens models are not for patients" in found
        assert "void if not current" in found and "This paper releases nothing" in found

    def test_an_eye_that_is_not_ready_has_no_sheet(self, desk: Desk, theatre: Theatre) -> None:
        """Only the line that says so."""
        put(desk, theatre)
        theatre.case.camp.keep("reading.white_to_white", theatre.case.person, "R", width_body())
        found = self.words(desk)
        assert "STOP. Changed after the order." in found
        assert "RIGHT EYE OD" not in found and "SER9" not in found

    def test_an_empty_day(self, desk: Desk, theatre: Theatre) -> None:
        """A sheet that says nobody."""
        assert "0 eyes" in self.words(desk)

    def test_a_toric_lens_is_drawn_for_both_seats(
        self, theatre: Theatre, sheet_fonts: Path
    ) -> None:
        """H33: the core's own sentence beside each drawing, by hand for axis 15 of a right eye."""
        theatre.listed()
        (one,) = theatre_list.on(theatre.case.fenn, clock.today())
        asked = theatre_list.asked(one)
        views = [seat.view("R", 15, None, each) for each in seat.SEATS]
        lens = {**one.lens, "cylinder_cD": -250, "axis_deg": 15}
        toric = theatre_paper.Sheet(one._replace(lens=lens), {**asked, "views": views})
        made = theatre_paper.make_pdf(clock.today(), [toric], now(), sheet_fonts)
        pages = pypdf.PdfReader(io.BytesIO(made)).pages
        found = " ".join(" ".join(each.extract_text() for each in pages).split())
        assert "Sitting at the head: Nose end 15° towards you, temple end 15° away." in found
        assert "Sitting at the temple: Nose end 15° to your left" in found
        assert len(pages) == 1


class TestCode:
    """H45: the code of a sheet says whether the paper is still right."""

    def said(self, desk: Desk, code: str) -> str:
        """Return the page about a code."""
        return unescape(desk.client.get(f"{PAGE}/sheet", query_string={"code": code}).text)

    def code(self, theatre: Theatre) -> str:
        """Return the code of the sheet of the listed eye."""
        (one,) = theatre_list.on(theatre.case.fenn, clock.today())
        assert one.code is not None
        return one.code

    def test_current_until_the_list_the_box_or_the_order_changes(
        self, desk: Desk, theatre: Theatre
    ) -> None:
        """Each of them makes the paper an old one."""
        first = theatre.listed()
        code = self.code(theatre)
        assert "Current." in self.said(desk, code)
        moved = theatre.listed(first, place="Theatre 1")
        assert "The list was changed since" in self.said(desk, code)
        code = self.code(theatre)
        assert moved in code and "Current." in self.said(desk, code)
        theatre.keep(theatre.surgeon, "theatre.checked", theatre.ended())
        assert "The box was stopped or checked again" in self.said(desk, code)
        order.cancel(theatre.case.fenn, theatre.shelf.order, "Broken", PASSPHRASE, "Taken back")
        assert "does not stand any more" in self.said(desk, code)

    def test_the_order_sheets_code(self, desk: Desk, theatre: Theatre) -> None:
        """The code that each order's sheet carries is read too, and its digest compared."""
        assert sheet_content.FORMAT == theatre_sheet.ORDER_SHEET
        sheet = order.sheet(theatre.case.fenn, theatre.shelf.order)
        code = sheet_content.qr_text(sheet.digest, theatre.shelf.order)
        assert "Current." in self.said(desk, code)
        other = sheet_content.qr_text("0" * 64, theatre.shelf.order)
        assert "What was approved is not what this sheet says" in self.said(desk, other)

    @pytest.mark.parametrize("code", ["", "x", "lampside-theatre/1:a:b", "lampside-order/1:a:b"])
    def test_what_is_no_code(self, desk: Desk, theatre: Theatre, code: str) -> None:
        """Nothing is current by not being understood."""
        found = self.said(desk, code)
        assert "Current." not in found
        assert ("Not current." in found) == (code != "")

    def test_of_another_eye(self, desk: Desk, theatre: Theatre) -> None:
        """On a tablet that opened another eye, the paper is of somebody else."""
        found = {"theatre": {"order": "a"}, "orders": [{"id": "a"}], "order": {"digest": "d"}}
        said = theatre_sheet.sheet_json(found, "lampside-order/1:d:b")
        assert (said["current"], "another eye or person" in str(said["text"])) == (0, True)
