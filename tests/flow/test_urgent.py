"""An answer from the base to what cannot wait, in an eye that had two lenses (H37)."""

import json
from datetime import timedelta

from tests.flow.exchange_case import EXCHANGED_ON, LATER, SEEN, Case
from tests.hospital import Hospital
from webapp.core.dates import day_words
from webapp.demo_people import PASSPHRASE
from webapp.flow import clock, urgent
from webapp.flow.urgent import Answer
from webapp.store import journal

DAY = clock.utc_now().date() + timedelta(days=1)


def test_one_answer_for_both_lenses_of_an_eye(hospital: Hospital) -> None:
    """A pressure of 41 mmHg with the lens that was taken out since, one of 45 with the next one."""
    case = Case(hospital)
    high = {"device": "Tonometer"}
    old = case.see("followup.pressure", taken=SEEN, iop_dmmHg=410, **high)
    new_lens = case.operate(serial="TI-2", operated=EXCHANGED_ON, explants=case.old,
                            explanted_serial="TI-1", explanted_reason=None)  # fmt: skip
    new = case.see("followup.pressure", new_lens, LATER, iop_dmmHg=450, **high)
    waiting = urgent.open_items({"eyes": {"R": case.eye()}}, "R")
    assert sorted(one["reading"] for one in waiting) == sorted([old, new])
    made = urgent.answer(case.fenn, case.person, "R", [old, new], Answer("Seen.", DAY), PASSPHRASE)
    assert urgent.waiting(case.fenn) == []
    # The lens that is in the eye is called for on the day, though another one was answered first.
    said = case.eye()["surgeries"][-1]["schedule"]["text"]
    assert said.startswith(f"Comes on {day_words(DAY.isoformat())}, as agreed.")
    bodies = [json.loads(one.payload)["body"] for one in journal.entries_by_id(made).values()]
    assert {one["implant"]: one["readings"] for one in bodies} == {case.old: [old], new_lens: [new]}
