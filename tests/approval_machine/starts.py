"""How far a history has come when it begins, each start a few steps on from an earlier one.

Uniformly random steps reach an order almost never and a second lens less often still, so nothing
that guards them would be missed. A start is walked to once; what came of it is kept and copied.
"""

from collections.abc import Callable
from contextlib import ExitStack
from typing import NamedTuple

from tests.approval_machine.lens_in import LensIn
from tests.approval_machine.people import WIDTHS_UM
from tests.approval_machine.world import EYE, Kept, World


class Begun(NamedTuple):
    """A start that was walked to."""

    history: Kept
    revoked: frozenset[str]


class Starts(LensIn):
    """The ways to where something can go wrong."""

    world: World
    begun: dict[str, Begun]

    def come_to(self, start: str) -> None:
        """Begin where a start ends, walking there from an earlier one where nobody has yet."""
        self.stack = ExitStack()
        if start not in self.begun:
            earlier, walk = WAYS[start]
            if earlier is not None:
                self.come_to(earlier)
            else:
                self._open(None)
            walk(self)
            kept = self.world.keep(start, self.phones)
            self.begun[start] = Begun(kept, frozenset(self.revoked))
            self.stack.close()
        self._open(self.begun[start])

    def _open(self, begun: Begun | None) -> None:
        self.stack = ExitStack()
        history = self.world.history(begun.history if begun else None)
        self.phones = self.stack.enter_context(history)
        self.revoked = set(begun.revoked) if begun else set()

    def walk_on(self) -> None:
        """Exchange, send, exchange."""
        self.exchange()
        self.send("camp")
        self.exchange()

    def shuffle(self) -> None:
        """Two readings arrive the wrong way round."""
        for diameter_um in WIDTHS_UM[:2]:
            self.measure("second_camp", diameter_um)
        self.push_out_of_order("second_camp", 1)

    def ask(self) -> None:
        """A surgeon asks the camp."""
        self.say("two", "plan.question")
        self.exchange()

    def lose_and_approve(self) -> None:
        """A lost phone goes on deciding."""
        self.revoke("one")
        self.agree()
        self.order(0, newest=True)

    def agree(self) -> None:
        """A surgeon approves."""
        self.approve("one", other=False, strict=True)
        self.exchange()

    def agree_apart(self) -> None:
        """Two surgeons approve different lenses."""
        self.approve("one", other=False, strict=True)
        self.approve("two", other=True, strict=True)
        self.exchange()

    def settle_and_order(self) -> None:
        """A third surgeon settles it."""
        self.settle("three", 0)
        self.exchange()
        self.order(0, newest=True)

    def order_newest(self) -> None:
        """The desk orders what its page shows."""
        self.order(0, newest=True)
        self.exchange()

    def measure_and_try(self) -> None:
        """A reading arrives before the order, and the desk tries all the same."""
        self.measure("camp", 11720)
        self.exchange()
        self.order(0, newest=True)

    def take_back_and_try(self) -> None:
        """An approval is taken back, and the desk tries to order from it."""
        body = {"target": self.phones["one"].fold()["approval"]["id"]}
        self.phones["one"].keep("plan.withdrawal", EYE, body, reason="Second thoughts")
        self.exchange()
        self.order(0, newest=False)

    def register_and_try(self) -> None:
        """The person is registered again, and the desk tries to order all the same."""
        self.register_again()
        self.order(0, newest=True)

    def tell_apart_and_order(self) -> None:
        """The desk says that they are two people, and orders."""
        self.compare("different")
        self.order_newest()

    def measure_late(self) -> None:
        """A reading comes after the order."""
        self.measure("camp", 11720)
        self.exchange()

    def keep_after_late(self) -> None:
        """A surgeon keeps an order against a reading that came after it."""
        self.answer_late("two", "keep")
        self.exchange()

    def to_the_first_table(self) -> None:
        """The lens is checked in theatre by two people."""
        self.to_the_table("SER9")

    def stop(self) -> None:
        """The lens is stopped in theatre."""
        self.check_in_theatre("two", "SER9", ended=True, label=0)
        self.exchange()

    def box_again(self) -> None:
        """Its box is held against the order once more."""
        self.hold_box("SER9", right=True)

    def implant(self) -> None:
        """The checked lens is implanted, in the place of another one where one is in the eye."""
        self.operate("as checked", "one", "SER9", 0)
        self.exchange()

    def implant_unchecked(self) -> None:
        """The lens is implanted, and nobody says of a check."""
        self.operate("unsaid", "one", "SER9", 0)
        self.exchange()

    def mend(self) -> None:
        """Its record is corrected: first so that it took its own place, then its serial number."""
        for how in ("names itself", "serial"):
            self.undo("one", 0, how)
            self.exchange()

    def withdraw(self) -> None:
        """Its record is withdrawn."""
        self.undo("one", 0, "void")
        self.exchange()

    def remember(self) -> None:
        """The record of an older surgery comes late."""
        self.operate("before it", "two", "SER5", 0)
        self.exchange()

    def find_it_high(self) -> None:
        """The lens lies high."""
        self.see("camp", 5, "2026-11-25T12:00:00.000Z", 1150, other=False)
        self.exchange()

    def decide_to_exchange(self) -> None:
        """A surgeon decides to exchange it."""
        self.decide("one", "exchange", 0)
        self.exchange()

    def decide_on_own(self) -> None:
        """A surgeon decides on what they read themselves."""
        self.see("one", 5, "2026-11-25T12:00:00.000Z", 1150, other=False)
        self.exchange()
        self.decide_to_exchange()

    def watch(self) -> None:
        """A surgeon decides to watch it."""
        self.decide("two", "observe", 0)
        self.exchange()

    def decide_apart(self) -> None:
        """Two surgeons decide differently about the lens."""
        self.decide("one", "exchange", 0)
        self.decide("two", "observe", 0)
        self.exchange()
        self.order(0, newest=True)

    def read_after_decision(self) -> None:
        """It is read again, and the desk tries to order all the same."""
        self.see("camp", 5, "2026-11-25T12:00:00.000Z", 480, other=False)
        self.exchange()
        self.order(0, newest=True)

    def implant_it_again(self) -> None:
        """A lens of the same serial number is said to have come in its own place."""
        self.operate("same serial", "one", "SER9", 0)
        self.exchange()

    def implant_too_early(self) -> None:
        """Another lens is said to have gone in while the first one still lay in the eye."""
        self.operate("no order", "two", "SER8", 0)
        self.exchange()

    def to_the_second_table(self) -> None:
        """The lens of the second cycle is checked in theatre by two people."""
        self.to_the_table("SER8")

    def without_a_lens(self) -> None:
        """The lens is taken out, and none put in its place."""
        self.undo("one", 0, "remove")
        self.exchange()


def _nothing(_starts: Starts) -> None:
    """The eye as it was measured."""


WAYS: dict[str, tuple[str | None, Callable[[Starts], None]]] = {
    "measured": (None, _nothing),
    "sent": ("measured", Starts.walk_on),
    "asked": ("sent", Starts.ask),
    "shuffled": ("sent", Starts.shuffle),
    "revoked": ("sent", Starts.lose_and_approve),
    "approved": ("sent", Starts.agree),
    "stale": ("approved", Starts.measure_and_try),
    "taken back": ("approved", Starts.take_back_and_try),
    "registered twice": ("approved", Starts.register_and_try),
    "told apart": ("registered twice", Starts.tell_apart_and_order),
    "apart": ("sent", Starts.agree_apart),
    "settled": ("apart", Starts.settle_and_order),
    "ordered": ("approved", Starts.order_newest),
    "late": ("ordered", Starts.measure_late),
    "kept": ("late", Starts.keep_after_late),
    "checked": ("ordered", Starts.to_the_first_table),
    "stopped": ("checked", Starts.stop),
    "released again": ("stopped", Starts.box_again),
    "unchecked": ("ordered", Starts.implant_unchecked),
    "operated": ("checked", Starts.implant),
    "mended": ("operated", Starts.mend),
    "withdrawn": ("operated", Starts.withdraw),
    "seen": ("operated", Starts.find_it_high),
    "older came late": ("seen", Starts.remember),
    "decided": ("seen", Starts.decide_to_exchange),
    "own reading": ("seen", Starts.decide_on_own),
    "watched": ("seen", Starts.watch),
    "decided apart": ("seen", Starts.decide_apart),
    "decided, then read": ("decided", Starts.read_after_decision),
    "lens settled": ("decided apart", Starts.settle_and_order),
    "exchange ordered": ("decided", Starts.order_newest),
    "exchange late": ("exchange ordered", Starts.read_after_decision),
    "exchange checked": ("exchange ordered", Starts.to_the_second_table),
    "exchanged": ("exchange checked", Starts.implant),
    "taken out": ("seen", Starts.without_a_lens),
    "again": ("seen", Starts.implant_it_again),
    "too early": ("taken out", Starts.implant_too_early),
    "late and taken out": ("exchange late", Starts.without_a_lens),
}
"""Start -> the earlier one, and the way on from there."""
