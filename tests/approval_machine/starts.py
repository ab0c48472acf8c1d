"""How far a history has come when it begins, each start a few steps on from an earlier one.

Uniformly random steps reach an order almost never and a second lens less often still, so nothing
that guards them would be missed. A start is walked to once; what came of it is kept and copied.
"""

from collections.abc import Callable
from contextlib import ExitStack
from typing import NamedTuple

from tests.approval_machine.walks_lens import WalksLens
from tests.approval_machine.world import Kept, World


class Begun(NamedTuple):
    """A start that was walked to."""

    history: Kept
    revoked: frozenset[str]


class Starts(WalksLens):
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
    "stolen": ("approved", Starts.steal_the_ones),
    "apart": ("sent", Starts.agree_apart),
    "settled": ("apart", Starts.settle_and_order),
    "ordered": ("approved", Starts.order_newest),
    "apart by the back-up": ("sent", Starts.agree_but_for_the_backup),
    "another back-up": ("sent", Starts.name_a_backup_of_another_length),
    "two approved": ("sent", Starts.agree_with_a_backup),
    "two ordered": ("two approved", Starts.order_newest),
    "two boxes": ("two ordered", Starts.hold_both_boxes),
    "back-up released": ("two boxes", Starts.release_it),
    "released wrongly": ("two boxes", Starts.release_it_wrongly),
    "neither released": ("back-up released", Starts.cancel_it_alone),
    "stolen, released": ("back-up released", Starts.steal_the_twos),
    "release taken back": ("back-up released", Starts.take_its_release_back),
    "back-up implanted": ("back-up released", Starts.backup_to_the_table),
    "the other implanted": ("two boxes", Starts.implant_the_other),
    "chosen all the same": ("back-up released", Starts.implant_unchecked),
    "late": ("ordered", Starts.measure_late),
    "kept": ("late", Starts.keep_after_late),
    "stolen, kept": ("kept", Starts.steal_the_twos),
    "checked": ("ordered", Starts.to_the_first_table),
    "stolen, checked": ("checked", Starts.steal_the_twos),
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
    "asked to exchange": ("seen", Starts.ask_for_an_exchange),
    "turned": ("asked to exchange", Starts.turn_it),
    "answer taken back": ("turned", Starts.take_the_answer_back),
    "cornea": ("asked to exchange", Starts.correct_the_cornea),
    "left apart": ("asked to exchange", Starts.leave_it_apart),
    "decided apart": ("seen", Starts.decide_apart),
    "stolen, decided": ("decided", Starts.steal_the_ones),
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
