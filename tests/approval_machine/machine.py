"""The machine: how a history begins, where it walks, and what must hold after each of its steps.

Uniformly random steps reach an order almost never, so nothing that guards one would be missed; the
rules ``settle_down_and_order`` and ``answer_apart`` walk there, and ``REACHED`` counts what was.
"""

from collections import Counter
from contextlib import ExitStack
from typing import Any

from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import initialize, invariant, rule, run_state_machine_as_test

from tests.approval_machine import oracle
from tests.approval_machine.network import HOW
from tests.approval_machine.people import SURGEONS, WIDTHS_UM
from tests.approval_machine.reached import REACHED, not_reached
from tests.approval_machine.theatre import InTheatre
from tests.approval_machine.world import EYE, PERSON, World, fold_of, payloads, world
from webapp.flow.calculation import as_entry
from webapp.store import journal

__all__ = ["not_reached", "run"]

STARTS = (
    "measured", "sent", "asked", "shuffled", "revoked", "approved", "stale", "taken back",
    "apart", "settled", "ordered", "kept", "late", "checked", "stopped", "released again",
)  # fmt: skip
"""How far a history has come when it begins."""
ORDERED = ("ordered", "kept", "late", "checked", "stopped", "released again")
_world: list[World] = []


class Approvals(InTheatre):
    """One eye, five phones, one base."""

    @initialize(start=st.sampled_from(STARTS))
    def begin(self, start: str) -> None:
        """Take a copy of the hospital and go some of the way at once."""
        self.stack = ExitStack()
        self.phones = self.stack.enter_context(_world[0].history())
        self.revoked: set[str] = set()
        self.stored: set[str] = set()
        self.wrong: list[str] = []
        if start != "measured":
            self.exchange()
            self.send("camp")
            self.exchange()
        walk = {
            "asked": self._ask, "shuffled": self._shuffle, "revoked": self._revoke_and_approve,
            "taken back": lambda: self._take_back_approval("one"), "kept": self._keep_after_late,
            "late": lambda: self.measure("camp", 11720), 
            "stale": self._measure_after_approval,
            "checked": lambda: self.to_the_table(stop=False, again=False),
            "stopped": lambda: self.to_the_table(stop=True, again=False),
            "released again": lambda: self.to_the_table(stop=True, again=True),
        }  # fmt: skip
        if start in ("apart", "settled"):
            self.approve("one", other=False, strict=True)
            self.approve("two", other=True, strict=True)
            self.exchange()
        if start == "settled":
            self.settle("three", 0)
            self.exchange()
            self.order(0, newest=True)
        if start in ("approved", "stale", "taken back", *ORDERED):
            self.approve("one", other=False, strict=True)
            self.exchange()
        if start in ORDERED:
            self.order(0, newest=True)
            self.exchange()
        if start in walk:
            walk[start]()
        if start == "late":
            self.exchange()

    def teardown(self) -> None:
        """Throw the copy away."""
        if hasattr(self, "stack"):
            self.stack.close()

    def _ask(self) -> None:
        """A surgeon asks the camp."""
        self.say("two", "plan.question")
        self.exchange()

    def _shuffle(self) -> None:
        """Two readings arrive the wrong way round."""
        for diameter_um in WIDTHS_UM[:2]:
            self.measure("second_camp", diameter_um)
        self.push_out_of_order("second_camp", 1)

    def _revoke_and_approve(self) -> None:
        """A lost phone goes on deciding."""
        self.revoke("one")
        self.approve("one", other=False, strict=True)
        self.exchange()
        self.order(0, newest=True)

    def _measure_after_approval(self) -> None:
        """A reading arrives before the order, and the desk tries all the same."""
        self.measure("camp", 11720)
        self.exchange()
        self.order(0, newest=True)

    def _keep_after_late(self) -> None:
        """A reading comes after the order, and a surgeon keeps it."""
        self.measure("camp", 11720)
        self.exchange()
        self.answer_late("two", "keep")
        self.exchange()

    def _take_back_approval(self, name: str) -> None:
        """Take one's approval back, and have the desk try to order from it."""
        body = {"target": self.phones[name].fold()["approval"]["id"]}
        self.phones[name].keep("plan.withdrawal", EYE, body, reason="Second thoughts")
        self.exchange()
        self.order(0, newest=False)

    def exchange(self, how: str = "whole") -> None:
        """Everybody sends and fetches; what is lost on the way is sent again."""
        for name, phone in self.phones.items():
            if how != "whole":
                self.push(name, how)
            if phone.outbox:
                phone.acknowledge(self._handed_in(phone, phone.outbox))
        for phone in self.phones.values():
            phone.pull()

    @rule(own=st.booleans(), late=st.booleans(), how=st.sampled_from(HOW))
    def settle_down_and_order(self, own: bool, late: bool, how: str) -> None:
        """Exchange, send, approve, order; perhaps what one measured oneself; perhaps read late."""
        if own:
            self.measure("one", 11710)
        self.exchange()
        self.send("camp")
        self.exchange()
        self.approve("one", other=False, strict=True)
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

    @invariant()
    def nothing_is_lost_and_nothing_wrong_was_taken(self) -> None:
        """The journal only grows (I10), and no forged or revoked record is in it (I8)."""
        if not hasattr(self, "stack"):
            return
        now = set(payloads())
        assert self.stored <= now, "I10: a stored record is gone"
        self.stored = now
        assert not self.wrong, self.wrong

    @invariant()
    def the_eye_is_what_its_records_say(self) -> None:
        """One live order (I2); what came late blocks; a shuffle changes nothing (I5, I6)."""
        if not hasattr(self, "stack"):
            return
        records, eye = payloads(), self.at_base()
        orders = oracle.live_orders(records, EYE)
        assert len(orders) <= 1, "I2"
        for name in ("conflict", "stale", "returned"):
            REACHED[name] += eye["state"] == name
        if orders:
            self._late(records, eye, orders[0])
        entries = [as_entry(one) for one in journal.entries_of_person(PERSON)]
        assert fold_of(entries[::-1] + entries[:3]) == eye, "I5, I6"

    def _late(self, records: dict[str, Any], eye: dict[str, Any], placed: str) -> None:
        assert eye["late"]["order"] == placed
        unseen = oracle.late_records(records, placed)
        if unseen:
            assert eye["late"]["blocks"] == 1, "late evidence releases the lens"
            REACHED["late"] += 1
        if eye["late"]["answer"] and not eye["late"]["blocks"]:
            REACHED["late kept"] += 1


def run(
    examples: int, steps: int = 12, seed: int | None = None, shrink: bool = True
) -> Counter[str]:
    """Run the machine and return what was reached.

    Args:
        examples: histories.
        steps: steps of each.
        seed: of the random histories; None for the same ones each time.
        shrink: look for the shortest history that fails; without it a failure is told at once.

    Raises:
        AssertionError: an invariant was broken; the shortest history found is printed.
    """
    REACHED.clear()
    how = settings(
        max_examples=examples, stateful_step_count=steps, deadline=None, database=None,
        derandomize=seed is None, suppress_health_check=list(HealthCheck),
        phases=(Phase.generate, Phase.shrink) if shrink else (Phase.generate,), print_blob=False,
    )  # fmt: skip

    class Seeded(Approvals):
        """The machine under this run's seed."""

    if seed is not None:
        Seeded._hypothesis_internal_use_seed = seed
    with world() as made:
        _world[:] = [made]
        run_state_machine_as_test(Seeded, settings=how)
    return REACHED.copy()
