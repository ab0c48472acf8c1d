"""The machine: where a history begins, and how it walks on to where something can go wrong.

Uniformly random steps reach an order almost never, so nothing that guards one would be missed; the
starts and the rules ``settle_down_and_order`` and ``answer_apart`` walk there, and ``REACHED``
counts what was.
"""

from collections import Counter
from contextlib import AbstractContextManager
from typing import Any
from unittest import mock

from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.internal.conjecture.engine import ConjectureRunner
from hypothesis.stateful import initialize, rule, run_state_machine_as_test

from tests.approval_machine.held import Held
from tests.approval_machine.network import HOW
from tests.approval_machine.people import BACKUPS, SURGEONS
from tests.approval_machine.reached import REACHED, not_reached
from tests.approval_machine.starts import WAYS, Begun
from tests.approval_machine.world import World, world

__all__ = ["not_reached", "run"]

_world: list[World] = []
_begun: dict[str, Begun] = {}


class Approvals(Held):
    """One eye, five phones, one base."""

    start = "measured"

    @initialize()
    def begin(self) -> None:
        """Take a copy of the hospital, as far as it has come."""
        self.world, self.begun = _world[0], _begun
        self.stored: set[str] = set()
        self.wrong: list[str] = []
        self.held = {}
        self.come_to(self.start)

    def teardown(self) -> None:
        """Throw the copy away."""
        if hasattr(self, "stack"):
            self.stack.close()

    def exchange(self, how: str = "whole") -> None:
        """Everybody sends and fetches; what is lost on the way is sent again."""
        for name, phone in self.phones.items():
            if how != "whole":
                self.push(name, how)
            if phone.outbox:
                phone.acknowledge(self._handed_in(phone, phone.outbox))
        for phone in self.phones.values():
            phone.pull()

    @rule(
        own=st.booleans(), late=st.booleans(), how=st.sampled_from(HOW),
        backup=st.sampled_from(BACKUPS),
    )  # fmt: skip
    def settle_down_and_order(self, own: bool, late: bool, how: str, backup: str) -> None:
        """Exchange, send, approve, order; perhaps what one measured oneself; perhaps read late."""
        if own:
            self.measure("one", 11710)
        self.exchange()
        self.send("camp")
        self.exchange()
        self.approve("one", other=False, strict=True, backup=backup)
        self.exchange(how)
        self.order(0, newest=True)
        if late:
            self.measure("camp", 11720)
            self.exchange()
            self.answer_late("two", "keep")
            self.exchange()

    @rule(
        first=st.permutations(SURGEONS), settle=st.booleans(), decline=st.booleans(),
        how=st.sampled_from(HOW),
    )  # fmt: skip
    def answer_apart(self, first: list[str], settle: bool, decline: bool, how: str) -> None:
        """Two surgeons decide without hearing of each other; perhaps a third settles."""
        one, two, three = first
        self.exchange()
        self.send("camp")
        self.exchange()
        self.approve(one, other=False, strict=True)
        if decline:
            self.say(two, "plan.decline")
        else:
            self.approve(two, other=True, strict=True)
        self.exchange(how)
        self.order(0, newest=False)
        if settle:
            self.settle(three, 0)
            self.exchange()
            self.order(0, newest=True)


def each_drawn_anew() -> AbstractContextManager[Any]:
    """Have each history drawn anew; else each one drawn is varied five times, and few are drawn."""
    return mock.patch.object(ConjectureRunner, "generate_mutations_from", lambda *_given: None)


def run(
    examples: int, steps: int = 12, seed: int | None = None, shrink: bool = True
) -> Counter[str]:
    """Run the machine and return what was reached.

    Args:
        examples: histories, shared out among the starts.
        steps: steps of each.
        seed: of the random histories; None for the same ones each time.
        shrink: look for the shortest history that fails; without it a failure is told at once.

    Raises:
        AssertionError: an invariant was broken; the shortest history found is printed.
    """
    REACHED.clear()
    with world() as made, each_drawn_anew():
        _world[:] = [made]
        _begun.clear()
        for place, start in enumerate(WAYS):
            # Each start its share: left to chance, some would hardly be drawn.
            share = examples // len(WAYS) + (place < examples % len(WAYS))
            how = settings(
                max_examples=max(share, 1), stateful_step_count=steps, deadline=None,
                database=None, derandomize=seed is None, print_blob=False,
                suppress_health_check=list(HealthCheck),
                phases=(Phase.generate, Phase.shrink) if shrink else (Phase.generate,),
            )  # fmt: skip
            told = {"start": start}
            if seed is not None:
                told["_hypothesis_internal_use_seed"] = seed * len(WAYS) + place
            name = "From_" + "".join(one if one.isalpha() else "_" for one in start)
            run_state_machine_as_test(type(name, (Approvals,), told), settings=how)
    return REACHED.copy()
