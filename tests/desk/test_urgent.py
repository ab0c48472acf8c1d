"""Urgent readings at the base: on top of the worklist until a surgeon or the desk has answered."""

import json
from datetime import timedelta
from html import unescape
from typing import Any

import pytest

from tests.desk.conftest import Desk
from tests.flow.exchange_case import removal
from tests.flow.surgeries import TAKEN, surgery
from tests.hospital import Hospital, Phone
from webapp.core.dates import day_words
from webapp.demo_people import PASSPHRASE
from webapp.flow import clock, urgent
from webapp.store import journal


class Alarm:
    """A person whose left eye was operated on, and a pressure of 41 mmHg read at the camp."""

    def __init__(self, hospital: Hospital) -> None:
        hospital.adopt_reference()
        self.hospital = hospital
        self.camp = hospital.phone()
        self.person = self.camp.register(name="Tilda Wrack")
        self.implant = hospital.phone("verrill").keep(
            "surgery.implanted", self.person, "L", surgery()
        )
        self.reading = self.read(410)
        self.page = f"/desk/urgent/{self.person}/L"

    def read(self, iop_dmmHg: int) -> str:  # noqa: N803 - a unit
        """Read a pressure at the camp; return the record's id."""
        body = {"implant": self.implant, "iop_dmmHg": iop_dmmHg, "device": "Tonometer",
                "taken": TAKEN, "typed": {}}  # fmt: skip
        return self.camp.keep("followup.pressure", self.person, "L", body)

    def told(self, **changed: object) -> dict[str, Any]:
        """Return the body of who was told."""
        return {"implant": self.implant, "readings": [self.reading], "whom": "Dr S. Verrill",
                "how": "phone", "text": "Drops, and the evening boat.", **changed}  # fmt: skip

    def refused(self, phone: Phone, kind: str, eye: str, body: dict[str, Any]) -> str:
        """Hand in a record that is refused; return the code."""
        (receipt,) = phone.push(phone.record(kind, self.person, eye, body))
        assert receipt.reason is not None
        return receipt.reason.code


@pytest.fixture
def alarm(hospital: Hospital) -> Alarm:
    """Return the urgent eye."""
    return Alarm(hospital)


def worklist(desk: Desk) -> str:
    """Return the words of the worklist."""
    return unescape(desk.get("/desk/").text)


def test_on_top_until_answered(alarm: Alarm, desk: Desk) -> None:
    """With the value and that nobody was told; the answer, signed for, takes it away."""
    top = worklist(desk).split('aria-label="Eyes by step"')[0]
    assert "Tilda Wrack" in top
    assert "41 mmHg" in top
    assert "Nobody wrote down who was told." in top
    shown = unescape(desk.get(alarm.page).text)
    assert "Act now." in shown
    assert "Nobody at the camp has written down yet who was told." in shown
    fields = {"readings": alarm.reading, "text": "Dr Verrill sees her at six."}
    assert desk.post(alarm.page, **fields, passphrase="not it").status_code == 422
    assert "Tilda Wrack" in worklist(desk).split('aria-label="Eyes by step"')[0]
    desk.get(alarm.page)
    assert desk.post(alarm.page, **fields, passphrase=PASSPHRASE).status_code == 302
    assert "Act now." not in worklist(desk)
    assert "Dr Verrill sees her at six." in unescape(desk.get(alarm.page).text)
    said = [one for one in journal.entries_of_person(alarm.person) if one.kind == urgent.ANSWERED]
    assert [json.loads(one.payload)["body"]["readings"] for one in said] == [[alarm.reading]]


def test_the_day_agreed_is_kept_and_called_for(alarm: Alarm, desk: Desk) -> None:
    """Answered, the alarm is off the worklist; the day is on its page and on the recall list."""
    today = clock.utc_now().date()
    desk.get(alarm.page)
    fields = {"readings": alarm.reading, "text": "Drops, then see her.", "passphrase": PASSPHRASE}
    over = (today - timedelta(days=2)).isoformat()
    assert desk.post(alarm.page, **fields, comes_on=over).status_code == 422
    tomorrow = (today + timedelta(days=1)).isoformat()
    desk.get(alarm.page)
    assert desk.post(alarm.page, **fields, comes_on=tomorrow).status_code == 302
    assert f"Comes back on {day_words(tomorrow)}." in unescape(desk.get(alarm.page).text)
    assert f"Comes on {day_words(tomorrow)}, as agreed." in unescape(desk.get("/desk/recall").text)


def test_no_day_for_a_lens_that_is_out(alarm: Alarm, desk: Desk) -> None:
    """Nobody is called for it, and nobody is let believe that: the answer says who sees her."""
    gone = removal(alarm.implant, operated=clock.today(), serial=surgery()["serial"])
    alarm.hospital.phone("verrill").keep("surgery.explanted", alarm.person, "L", gone)
    fields = {"readings": alarm.reading, "text": "Seen at noon.", "passphrase": PASSPHRASE}
    for day, status in ((clock.today(), 422), ("", 302)):
        desk.get(alarm.page)
        answer = desk.post(alarm.page, **fields, comes_on=day)
        assert answer.status_code == status
        assert ("the recall list calls nobody for it" in unescape(answer.text)) == (status == 422)


def test_told_at_the_camp_is_no_answer(alarm: Alarm, desk: Desk) -> None:
    """The desk reads who was told, and it stays on top."""
    alarm.camp.keep("urgent.told", alarm.person, "L", alarm.told())
    assert "Told: Dr S. Verrill." in worklist(desk)
    assert "Drops, and the evening boat." in unescape(desk.get(alarm.page).text)


def test_a_later_reading_is_not_answered_unseen(alarm: Alarm, desk: Desk) -> None:
    """An answer is for what was on the page; what came since stays open."""
    desk.get(alarm.page)
    alarm.read(450)
    fields = {"readings": alarm.reading, "text": "Seen.", "passphrase": PASSPHRASE}
    assert desk.post(alarm.page, **fields).status_code == 302
    assert "45 mmHg" in worklist(desk).split('aria-label="Eyes by step"')[0]


def test_only_what_is_open_is_answered(alarm: Alarm, desk: Desk) -> None:
    """A reading that is not urgent, or not here, is no way to answer; twice is once too many."""
    calm = alarm.read(150)
    for readings in (calm, "0" * 64, f"{alarm.reading} {calm}"):
        desk.get(alarm.page)
        fields = {"readings": readings, "text": "Seen.", "passphrase": PASSPHRASE}
        assert desk.post(alarm.page, **fields).status_code == 422
    assert "Act now." in worklist(desk)


def test_other_camps_do_not_see_it(alarm: Alarm) -> None:
    """Nobody of another site reads the name."""
    shown = alarm.hospital.client("quill").get("/desk/").get_data(as_text=True)
    assert "Tilda Wrack" not in shown


class TestAdmission:
    """What may be said of an urgent reading: of this eye, of what is here."""

    def test_of_another_eye(self, alarm: Alarm) -> None:
        """A telling of the right eye never quiets the left one (H37)."""
        assert alarm.refused(alarm.camp, "urgent.told", "R", alarm.told()) == "implant.other"

    def test_a_reading_of_another_person(self, alarm: Alarm) -> None:
        """The readings are looked at one by one."""
        other = Alarm.__new__(Alarm)
        other.camp, other.person = alarm.camp, alarm.camp.register(name="Osk Hale")
        other.implant = alarm.hospital.phone("verrill").keep(
            "surgery.implanted", other.person, "L", surgery(serial="TI-9")
        )
        theirs = other.read(420)
        body = alarm.told(readings=sorted([alarm.reading, theirs]))
        assert alarm.refused(alarm.camp, "urgent.told", "L", body) == "reading.other"

    @pytest.mark.parametrize(
        ("changed", "code"),
        [
            ({"implant": "0" * 64}, "implant.unknown"),
            ({"readings": ["0" * 64]}, "reading.unknown"),
        ],
    )
    def test_what_is_not_here(self, alarm: Alarm, changed: dict[str, object], code: str) -> None:
        """Neither surgery nor reading is invented."""
        assert alarm.refused(alarm.camp, "urgent.told", "L", alarm.told(**changed)) == code

    def test_a_surgery_is_no_reading(self, alarm: Alarm) -> None:
        """What is named as a reading has to be one."""
        body = alarm.told(readings=[alarm.implant])
        assert alarm.refused(alarm.camp, "urgent.told", "L", body) == "reading.unknown"

    def test_an_optometrist_answers_none(self, alarm: Alarm) -> None:
        """Who read it tells somebody; the answer is a surgeon's or the desk's."""
        body = {"implant": alarm.implant, "readings": [alarm.reading], "text": "I looked again."}
        with pytest.raises(Exception, match="role"):
            alarm.camp.record("urgent.answered", alarm.person, "L", body)
