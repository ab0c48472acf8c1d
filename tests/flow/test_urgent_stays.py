"""An urgent reading does not go with its surgery, its surgery's day or the other registration."""

import pytest

from tests.desk.test_urgent import Alarm
from tests.flow.pairs import WHY, Pair
from tests.flow.surgeries import TAKEN, surgery
from tests.hospital import Hospital, Phone
from webapp.demo_people import PASSPHRASE
from webapp.flow import clock, kept_apart, urgent, urgent_apart
from webapp.flow.refusal import Refused
from webapp.flow.urgent import Answer
from webapp.store.projections import joins


class Operated(Alarm):
    """An urgent eye, and the surgeon who recorded its surgery."""

    def __init__(self, hospital: Hospital) -> None:
        super().__init__(hospital)
        self.surgeon = self.owner_of_surgery()
        self.fenn = hospital.actor("fenn")

    def owner_of_surgery(self) -> Phone:
        """Return another phone of the surgery's author."""
        return self.hospital.phone("verrill")

    def open(self) -> list[str]:
        """Return the readings that wait at the base."""
        return [item["reading"] for eye in urgent.waiting(self.fenn) for item in eye.items]

    def withdraw(self) -> str:
        """Withdraw the surgery; return what came of it."""
        body, why = {"target": self.implant}, "Another eye was chosen"
        (receipt,) = self.surgeon.push(
            self.surgeon.record("record.void", self.person, "L", body, reason=why)
        )
        return receipt.reason.code if receipt.reason else receipt.result

    def correct(self, operated: str) -> str:
        """Correct the surgery's day; return what came of it."""
        body, why = surgery(operated=operated), "Another day was typed"
        named = {"replaces": self.implant, "reason": why}
        (receipt,) = self.surgeon.push(
            self.surgeon.record("surgery.implanted", self.person, "L", body, **named)
        )
        return receipt.reason.code if receipt.reason else receipt.result

    def answer(self) -> None:
        """Answer the reading at the base."""
        urgent.answer(
            self.fenn, self.person, "L", [self.reading], Answer("Seen at six."), PASSPHRASE
        )


@pytest.fixture
def operated(hospital: Hospital) -> Operated:
    """Return the urgent eye."""
    return Operated(hospital)


class TestSurgery:
    """Its author alone ends no alarm with it (H37)."""

    def test_is_withdrawn_after_the_answer_only(self, operated: Operated) -> None:
        """The surgeon is told why."""
        assert operated.withdraw() == "urgent.open"
        assert operated.open() == [operated.reading]
        operated.answer()
        assert operated.withdraw() == "stored"

    def test_no_day_after_the_reading(self, operated: Operated) -> None:
        """The reading would belong to no surgery then."""
        assert operated.correct(clock.today()) == "urgent.open"
        assert operated.open() == [operated.reading]

    def test_a_day_before_the_reading_is_corrected_at_once(self, operated: Operated) -> None:
        """The alarm stays as it is."""
        assert operated.correct("2026-10-21") == "stored"
        assert operated.open() == [operated.reading]

    def test_its_reader_may_take_it_back(self, operated: Operated) -> None:
        """A slip of the finger is its author's to correct, and the surgery is then free."""
        target = {"target": operated.reading}
        operated.camp.keep("record.void", operated.person, "L", target, reason="41 was 14")
        assert operated.open() == []
        assert operated.withdraw() == "stored"


class TestKeptApart:
    """A reading that no fold holds alarms the desk all the same."""

    def apart(self, operated: Operated, iop_dmmhg: int) -> str:
        """Hand in a pressure of the withdrawn surgery; return its id."""
        body = {"implant": operated.implant, "iop_dmmHg": iop_dmmhg, "device": "Tonometer",
                "taken": TAKEN, "typed": {}}  # fmt: skip
        seen = operated.camp.record("followup.pressure", operated.person, "L", body)
        (receipt,) = operated.camp.push(seen)
        assert receipt.reason.code == "implant.withdrawn"
        return receipt.id

    def test_after_a_withdrawn_surgery(self, operated: Operated) -> None:
        """41 mmHg is listed until a surgeon has decided; 15 mmHg is only kept apart."""
        operated.answer()
        assert operated.withdraw() == "stored"
        self.apart(operated, 150)
        assert urgent_apart.waiting(operated.fenn) == []
        high = self.apart(operated, 410)
        (one,) = urgent_apart.waiting(operated.fenn)
        assert (one.record, one.eye, one.values) == (high, "L", ["41 mmHg"])
        page = operated.hospital.client("fenn").get("/desk/").text
        assert page.count("Act now.") == 1
        assert f"/desk/kept-apart/{high}" in page
        verrill = operated.hospital.actor("verrill")
        kept_apart.decide(verrill, high, "leave", "Called; the lens is out", PASSPHRASE)
        assert urgent_apart.waiting(operated.fenn) == []

    def test_not_at_other_sites(self, operated: Operated) -> None:
        """Whoever may not read what is kept apart there learns nothing of it."""
        operated.answer()
        operated.withdraw()
        self.apart(operated, 410)
        fenn = operated.fenn
        elsewhere = fenn._replace(roles=tuple(r for r in fenn.roles if r.site != "saltpan"))
        assert urgent_apart.waiting(elsewhere) == []


class TestSeparation:
    """Two people separate; an alarm that needs both halves is answered first."""

    def test_waits_for_the_answer(self, hospital: Hospital) -> None:
        """The surgery is under one registration, the reading under the other."""
        pair = Pair(hospital)
        pair.join()
        implant = pair.surgeon.keep("surgery.implanted", pair.person, "L", surgery())
        body = {"implant": implant, "iop_dmmHg": 410, "device": "Tonometer", "taken": TAKEN,
                "typed": {}}  # fmt: skip
        reading = pair.elsewhere.keep("followup.pressure", pair.other, "L", body)
        with pytest.raises(Refused) as refused:
            pair.separate()
        assert refused.value.code == "urgent.open"
        assert joins.touching(pair.person)
        urgent.answer(pair.fenn, pair.person, "L", [reading], Answer(WHY), PASSPHRASE)
        pair.separate()
        assert not joins.touching(pair.person)
