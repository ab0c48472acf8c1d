"""The way from an ordered lens to the table: arrival, boxes, checks there by two people, stops."""

from typing import Any

from hypothesis import strategies as st
from hypothesis.stateful import rule

from tests import at_the_table
from tests.approval_machine import oracle_theatre
from tests.approval_machine.backups import Backups
from tests.approval_machine.people import SURGEONS
from tests.approval_machine.reached import REACHED
from tests.approval_machine.world import EYE, actor, payloads
from tests.ordered import lens_of
from webapp.demo_people import PASSPHRASE
from webapp.flow import box, clock, order_progress
from webapp.flow.box import Read, Second
from webapp.flow.refusal import Refused

SERIALS = ("SER8", "SER9")


class InTheatre(Backups):
    """The desk's boxes, and two people at the table."""

    stack: Any

    # One rule, so that these steps do not crowd out the decisions that lead to them.
    @rule(
        step=st.sampled_from(("promised", "arrive", "box", "check", "confirm")),
        name=st.sampled_from(SURGEONS), serial=st.sampled_from(SERIALS),
        good=st.booleans(), pick=st.integers(0, 5), spare=st.booleans(),
    )  # fmt: skip
    def go_on(self, step: str, name: str, serial: str, good: bool, pick: int, spare: bool) -> None:
        """One step further with the lens or its back-up, or one too many."""
        if step == "promised":
            self.promise(spare)
        elif step == "arrive":
            self.arrive(spare)
        elif step == "box":
            self.hold_box(serial, good, spare)
        elif step == "check":
            self.check_in_theatre(name, serial, ended=not good, label=pick)
        else:
            self.confirm_in_theatre(name)

    def promise(self, spare: bool) -> None:
        """The supplier confirms the order that stands, just as it was placed."""
        for placed in self.picked(spare):
            said = {
                "reference": f"R-{placed[:8]}", "for_eye": EYE, "lens": lens_of(placed),
                "confirmed_on": clock.today(), "expected_on": None, "corrects": [],
                "correction": None,
            }  # fmt: skip
            try:
                order_progress.confirm(actor("fenn"), placed, said, PASSPHRASE)
            except Refused:
                REACHED["confirmed twice"] += 1

    def arrive(self, spare: bool = False) -> None:
        """The lens of the order that stands arrives."""
        for placed in self.picked(spare):
            try:
                order_progress.arrive(actor("fenn"), placed, clock.today())
            except Refused:
                REACHED["arrived twice"] += 1

    def hold_box(self, serial: str, right: bool, spare: bool = False) -> None:
        """The desk holds a box against the order, the right one or a longer lens."""
        for placed in self.picked(spare):
            lens = lens_of(placed)
            read = {**lens, "length_um": lens["length_um"] + (0 if right else 500)}
            label = {**read, "lot": "LOT7", "serial": serial, "expiry_date": "2031-02-28"}
            try:
                box.check(
                    actor("fenn"), placed, Read(None, label, None),
                    Second("verrill", PASSPHRASE, label) if right else None,
                )  # fmt: skip
            except Refused:
                REACHED["box refused"] += 1

    def check_in_theatre(self, name: str, serial: str, ended: bool, label: int) -> None:
        """Check the lens by any box that is on record, a changed tablet too; or stop it."""
        phone = self.phones[name]
        boxes = oracle_theatre.of_kind(phone.known(), "label.checked")
        if boxes:
            body = checked_body(boxes, serial, ended, label)
            phone.keep("theatre.checked", EYE, body)
            REACHED["stopped in theatre"] += ended

    def confirm_in_theatre(self, name: str) -> None:
        """Confirm every check that this phone knows, one's own included."""
        phone = self.phones[name]
        for check, one in oracle_theatre.of_kind(phone.known(), "theatre.checked").items():
            if one["body"]["outcome"] == "agrees":
                phone.keep("theatre.confirmed", EYE, at_the_table.confirmed(check))

    def to_the_table(self, serial: str, spare: bool = False) -> None:
        """Go from an order to a check by two people."""
        self.arrive(spare)
        self.hold_box(serial, right=True, spare=spare)
        self.exchange()
        self.check_by_two(serial)

    def check_by_two(self, serial: str) -> None:
        """Check in theatre the lens whose box was held last, by two people."""
        boxes = oracle_theatre.of_kind(payloads(), "label.checked")
        newest = sorted(boxes).index([*boxes][-1])
        self.check_in_theatre("one", serial, ended=False, label=newest)
        self.exchange()
        self.confirm_in_theatre("two")
        self.exchange()

    def exchange(self, how: str = "whole") -> None:
        """Everybody sends and fetches."""
        raise NotImplementedError


def checked_body(
    boxes: dict[str, Any], serial: str, ended: bool, label: int
) -> dict[str, Any]:  # fmt: skip
    """Return the body of a check of one of these boxes, claimed to agree, or of a stop."""
    name = sorted(boxes)[label % len(boxes)]
    trace = {"lot": "LOT7", "serial": serial, "expiry_date": "2031-02-28"}
    said = at_the_table.stopped() if ended else {}
    return at_the_table.checked(
        name, boxes[name]["body"], EYE, trace=trace, second_trace=trace, **said
    )
