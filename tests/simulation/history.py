"""One history: a seed decides what people do, what the network does, and when things break.

Each turn either somebody begins something or one of the things that are under way goes on; which
one is drawn, so that delay and reordering need no clock. When the actions are used up the faults
stop, everybody exchanges until nothing moves, and the promises are checked.
"""

import hashlib
from collections import Counter
from random import Random
from typing import Any, NamedTuple

from tests.simulation import (
    away,
    base,
    checks,
    door,
    faults,
    healing,
    operated,
    stories,
    world,
)
from tests.simulation.phone import Phone
from tests.simulation.phone_records import Ask, Sizes, Task
from tests.simulation.phone_store import PhoneStore
from webapp.records.signing import DeskKey
from webapp.store import installation


class Plan(NamedTuple):
    """What a history is drawn from; smaller ones make a failure easier to read."""

    seed: int
    actions: int = 32
    phones: int = 4
    skews: bool = True
    """False leaves every phone's clock right; nothing but flags may change by that."""
    story: str = stories.MIXED


class Outcome(NamedTuple):
    """How a history ended."""

    plan: Plan
    trace: str
    """Hash over everything that happened, in order."""
    failures: list[str]
    reach: Counter[str]
    order: list[tuple[str, int]]
    """(key, number) of every record in the base's log, in order: what clocks must not change."""


class Running(NamedTuple):
    """Something under way: a phone's task, or a request that nobody waits for any more."""

    phone: Phone
    task: Task | None
    ask: Ask | None
    answer: dict[str, Any] | None
    is_answered: bool


class History:
    """The base, the phones, and what is under way."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.rng = Random(plan.seed)  # noqa: S311 - a history is drawn, not a secret
        begin = world.beginning(plan.story)
        base.Now.seconds = 0.0
        base.put_back(begin.database)
        base.use_desk_key(base.signing_key(0))
        self.phones = world.phones(plan.story)[: plan.phones]
        for phone, store in zip(self.phones, begin.stores, strict=False):
            phone.store = store.copy()
        for phone, saved in zip(self.phones, begin.saved, strict=False):
            phone.saved = set(saved)
        self.people = list(begin.people)
        self.under_way: list[Running] = []
        self.copies = [(0.0, begin.database)]
        """When each copy of the base was made [s], and its bytes."""
        self.revoked: set[str] = set()
        self.closed: dict[str, int] = {}
        """Key id -> life of the base in which its phone had it closed."""
        self.made: set[str] = {entry.id for entry in base.log()}
        """Ids of every record that anybody ever made: nothing else may be in the log."""
        self.offered: set[str] = set()
        """Ids that phones have offered to the base."""
        self.silent: dict[Task, set[str]] = {}
        """Ids of what could not wait when an exchange last sent something."""
        self.lost: set[str] = set()
        """Saved records whose last copy went with a phone or with the base."""
        self.next_key = world.FIRST_KEY + len(stories.OWNERS[plan.story])
        self.reach: Counter[str] = Counter()
        self.failures: list[str] = []
        self._trace = hashlib.sha256()
        self.quiet = False
        self._draw_ways()

    def _draw_ways(self) -> None:
        rng = self.rng
        self.loss = rng.choice((0.0, 0.05, 0.2))
        self.has_locks = rng.random() < 0.5
        for phone in self.phones:
            phone.sizes = Sizes(rng.choice((2, 5, 100)), rng.choice((3, 10, 200)))
            # Drawn either way, so that both runs of a pair draw the same afterwards.
            skew_s = rng.choice((0, 0, -1_000_000, 1_000_000, rng.randrange(-90_000, 90_000)))
            skew_s //= stories.SKEW_DIVIDED.get(self.plan.story, 1)
            phone.skew_s = skew_s if self.plan.skews else 0

    def note(self, *what: object) -> None:
        """Add to the trace."""
        self._trace.update(repr(what).encode())

    def count(self, what: str, times: int = 1) -> None:
        """Note that something worth reaching was reached."""
        self.reach[what] += times

    def fail(self, what: str) -> None:
        """Note a broken promise."""
        self.failures.append(what)

    def run(self) -> Outcome:
        """Run to the end and return the outcome."""
        for _ in range(self.plan.actions):
            if self.failures:
                break
            faults.act(self)
            while self.under_way and self.rng.random() < 0.87:
                self.go_on()
        healing.heal(self)
        if not self.failures:
            checks.after_healing(self)
        order = [(entry.kid, checks.sequence(entry)) for entry in base.log()]
        return Outcome(self.plan, self._trace.hexdigest(), self.failures, self.reach, order)

    def start(self, phone: Phone, task: Task) -> None:
        """Begin a task of a phone; it waits for its first turn."""
        self.under_way.append(Running(phone, task, None, None, is_answered=True))

    def exchange(self, phone: Phone, task: Task | None = None) -> None:
        """Begin an exchange, or another task that waits for one, unless another tab holds the lock.

        Only in browsers that have locks.
        """
        busy = [one for one in self.under_way if one.phone is phone and is_exchange(one)]
        if busy and self.has_locks:
            return
        if busy:
            self.count("two_tabs")
        self.start(phone, task or phone.exchange())

    def finish(self) -> None:
        """Let all that is under way come to its end."""
        while self.under_way and not self.failures:
            self.go_on()

    def go_on(self) -> None:
        """Let one thing that is under way take its next step."""
        base.Now.seconds += self.rng.randrange(1, 120)
        one = self.under_way.pop(self.rng.randrange(len(self.under_way)))
        if one.ask is not None and not one.is_answered:
            self._reach_base(one, one.ask)
        elif one.task is not None:
            self._resume(one, one.task)

    def _reach_base(self, one: Running, ask: Ask) -> None:
        if self._is_lost("request_lost"):
            answer = None
        else:
            answer = self._answer(one.phone, ask)
            if not self.quiet and self.rng.random() < 0.1:
                self.count("duplicated")
                self.under_way.append(one._replace(task=None))
            if answer is not None and self._is_lost("answer_lost"):
                answer = None
        self.under_way.append(one._replace(answer=answer, is_answered=True))

    def _is_lost(self, what: str) -> bool:
        lost = not self.quiet and self.rng.random() < self.loss
        self.count(what, int(lost))
        return lost

    def _answer(self, phone: Phone, ask: Ask) -> dict[str, Any]:
        asked = ask.asked
        if ask.what == "push":
            asked = {"records": faults.on_the_way(self, asked["records"])}
        answer = door.answer(phone.name, ask.what, asked)
        # Signatures are drawn anew each time that a record is signed; its bytes are not.
        said = [record["p"] for record in answer.get("records", ())]
        self.note(phone.kid, ask.what, said, {**answer, "records": len(said)})
        if ask.what == "push":
            for receipt, envelope in zip(answer["receipts"], asked["records"], strict=True):
                self._count_receipt(receipt, envelope)
        elif ask.what in ("name_key", "renewed"):
            self.count(f"{ask.what}:{answer['code']}")
            if ask.what == "renewed" and not answer["code"]:
                self.closed[ask.asked["kid"]] = installation.epoch()
        elif answer.get("restart"):
            self.count("restarts_seen")
        return answer

    def _count_receipt(self, receipt: dict[str, Any], envelope: dict[str, str]) -> None:
        self.count(f"{receipt['result']}:{receipt['code'] or ''}")
        if receipt["code"] == "key.closed":
            # Phones close what they gave up only when all that it signed has arrived.
            self.fail("S6 a record came after its key was closed")
        if receipt["result"] == "stored" and envelope["kid"] in self.revoked:
            self.fail(f"S11 a record of a revoked key was stored: {receipt['id'][:8]}")

    def _resume(self, one: Running, task: Task) -> None:
        before, held = checks.places(one.phone), set(one.phone.store.records)
        try:
            step = task.send(one.answer if one.ask is not None else None)
        except StopIteration:
            self.note(one.phone.kid, "done")
        else:
            is_ask = isinstance(step, Ask)
            if isinstance(step, Ask) and step.what == "push":
                operated.sent(self, one.phone, task, step.asked["records"])
            self.under_way.append(Running(one.phone, task, step, None, is_answered=not is_ask))
        checks.no_way_back(self, one.phone, before)
        away.dropped(self, held, one.phone)
        self.made |= one.phone.saved

    def new_key(self) -> DeskKey:
        """Return a key that nobody has used."""
        self.next_key += 1
        return base.signing_key(self.next_key - 1)

    def crash(self, phone: Phone) -> None:
        """Kill every page of a phone; requests that were sent may arrive all the same."""
        mine = [one for one in self.under_way if one.phone is phone]
        self.under_way = [one for one in self.under_way if one.phone is not phone]
        for one in mine:
            self.count("crashes")
            if one.task is not None:
                self.made |= {row for row in phone.store.records if row not in self.made}
                one.task.close()
            if one.ask is not None and not one.is_answered and self.rng.random() < 0.5:
                self.under_way.append(one._replace(task=None))

    def forget_lost(self, gone: set[str], other: list[PhoneStore]) -> None:
        """Note which of these records have no copy left anywhere."""
        here = checks.at_base()
        kept = {name for store in other for name in store.records}
        self.lost |= gone - here - kept


def is_exchange(one: Running) -> bool:
    """Say whether something under way is an exchange."""
    return one.task is not None and one.task.__name__ in ("exchange", "tidy", "fetch")
