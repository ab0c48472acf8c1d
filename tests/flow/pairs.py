"""One person with two registrations, and who may join them."""

import pytest

from tests.flow.test_order import Case
from tests.hospital import Hospital, person_body
from webapp.demo_people import PASSPHRASE
from webapp.flow import joining, order, worklist
from webapp.flow.actor import Actor
from webapp.flow.refusal import Refused
from webapp.store.projections import joins

WHY = "The same card and the same scar"


class Pair(Case):
    """An approved eye at one camp, and the same person registered at another one later on."""

    def __init__(self, hospital: Hospital) -> None:
        super().__init__(hospital)
        self.elsewhere = hospital.phone("quill", "upper-glen")
        self.surgeon_there = hospital.phone("verrill", "upper-glen")
        self.other = "0193a5c1-0000-7000-8000-000000000001"
        self.elsewhere.keep("person.registered", self.other, None, person_body())
        self.hale = hospital.actor("hale")

    def compare(self) -> str:
        """Say at the other camp that it is the same person."""
        body = {"other": self.person, "answer": "same"}
        return self.elsewhere.keep("person.compared", self.other, None, body)

    def join(self, actor: Actor | None = None) -> None:
        """Join them at the desk after a judgement."""
        self.compare()
        joining.join(actor or self.fenn, self.person, self.other, WHY, PASSPHRASE)

    def separate(self) -> None:
        """Separate them at the desk."""
        (record, *_) = [one.record for one in joins.touching(self.person)]
        if joining.separation(self.hale, record) is None:
            joining.propose_separation(self.hale, record, "Two cousins", PASSPHRASE)
        joining.confirm_separation(self.fenn, record, PASSPHRASE)

    def order_there(self) -> str:
        """Measure, send, approve and order the same eye under the other registration."""
        self.elsewhere.measure(self.other, "R")
        request = self.elsewhere.send_for_plan(self.other, "R")
        approval = self.surgeon_there.approve(self.other, "R", request)
        return order.place(self.fenn, self.other, "R", approval, PASSPHRASE)

    def lists(self, actor: Actor) -> list[str]:
        """Return whose right eyes somebody's worklist shows."""
        here = (self.person, self.other)
        return [row.person for row in worklist.rows(actor) if row.eye == "R" and row.person in here]


def refusal(pair: Pair, actor: Actor | None = None) -> str:
    """Return the code of the refusal to join, with nothing joined."""
    with pytest.raises(Refused) as refused:
        joining.join(actor or pair.fenn, pair.person, pair.other, WHY, PASSPHRASE)
    assert not joins.touching(pair.person)
    return refused.value.code
