"""The machine: what people, phones and a forger may do, and what must hold after each of it.

Uniformly random steps reach an order almost never, so nothing that guards one would be missed; the
rules ``settle_down_and_order`` and ``answer_apart`` walk there, and ``REACHED`` counts what was.
"""

from collections import Counter
from contextlib import ExitStack
from random import Random
from typing import Any

from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from tests.approval_machine import oracle
from tests.approval_machine.world import (
    EYE,
    PERSON,
    Device,
    World,
    actor,
    fold_of,
    payloads,
    width_body,
    world,
)
from webapp.core import limits
from webapp.demo_people import PASSPHRASE
from webapp.flow import key_authority, order, reference
from webapp.flow.calculation import as_entry
from webapp.flow.key_authority import Revocation
from webapp.flow.refusal import Refused
from webapp.records.envelope import digest_of, open_envelope, seal
from webapp.records.errors import BadRecord
from webapp.store import journal

REACHED: Counter[str] = Counter()
MUST_REACH = (
    "ordered", "conflict", "settled", "ordered after a settlement", "late", "late answered",
    "late kept", "cancelled", "declined", "taken back", "stale", "returned", "refused at the base",
    "forged", "revoked", "refused as revoked", "order refused", "lost acknowledgement",
    "sent twice", "out of order", "phones agree", "replaced", "void", "own work approved",
    "settled by a party", "limits changed",
)  # fmt: skip
"""What each run must have reached: a machine that never gets there checks nothing."""

CAMPS = ("camp", "second_camp")
SURGEONS = ("one", "two", "three")
STARTS = (
    "measured", "sent", "asked", "shuffled", "revoked", "approved", "stale", "taken back",
    "apart", "settled", "ordered", "kept",
)  # fmt: skip
"""How far a history has come when it begins."""
HOW = ("whole", "part", "lost", "twice")
"""What becomes of an outbox that is sent."""
WIDTHS_UM = (11600, 11700, 11720)
ALL = (*CAMPS, *SURGEONS)
_world: list[World] = []


class Approvals(RuleBasedStateMachine):
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
            "stale": self._measure_after_approval,
        }  # fmt: skip
        if start in ("apart", "settled"):
            self.approve("one", other=False, strict=True)
            self.approve("two", other=True, strict=True)
            self.exchange()
        if start == "settled":
            self.settle("three", 0)
            self.exchange()
            self.order(0, newest=True)
        if start in ("approved", "stale", "taken back", "ordered", "kept"):
            self.approve("one", other=False, strict=True)
            self.exchange()
        if start in ("ordered", "kept"):
            self.order(0, newest=True)
            self.exchange()
        if start in walk:
            walk[start]()

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

    # What people do on their phones, with what their phone knows.

    @rule(name=st.sampled_from(ALL), diameter_um=st.sampled_from(WIDTHS_UM))
    def measure(self, name: str, diameter_um: int) -> None:
        """Read the diameter once more; a surgeon may, and then may not approve."""
        self.phones[name].keep("reading.white_to_white", EYE, width_body(diameter_um))

    @rule(name=st.sampled_from(CAMPS), correct=st.booleans(), pick=st.integers(0, 20))
    def take_out(self, name: str, correct: bool, pick: int) -> None:
        """Correct or withdraw a reading, one's own or (to be refused) somebody else's."""
        phone = self.phones[name]
        ours = sorted(
            one["id"] for one in phone.held.values()
            if one["payload"]["kind"] == "reading.white_to_white"
        )  # fmt: skip
        if not ours:
            return
        target = ours[pick % len(ours)]
        if correct:
            body = width_body(11710)
            phone.keep("reading.white_to_white", EYE, body, replaces=target, reason="A slip")
            REACHED["replaced"] += 1
        else:
            phone.keep("record.void", EYE, {"target": target}, reason="Wrong edge")
            REACHED["void"] += 1

    @rule(name=st.sampled_from(CAMPS))
    def send(self, name: str) -> None:
        """Send the eye for a plan."""
        phone = self.phones[name]
        shown = phone.plan()["shown"]
        if shown is not None:
            phone.keep("plan.request", EYE, {"shown": shown, "digest": digest_of(shown)})

    @rule(name=st.sampled_from(SURGEONS), other=st.booleans(), strict=st.booleans())
    def approve(self, name: str, other: bool, strict: bool) -> None:
        """Approve the recommended lens or another one; without ``strict`` whatever the page says.

        The page offers no approval of an eye that one measured, or that waits for somebody else. A
        changed phone might.
        """
        phone = self.phones[name]
        eye = phone.fold()
        if eye["request"] is None or (strict and eye["state"] not in ("queued", "stale")):
            return
        body = self._approval(phone, eye["request"]["id"], other)
        if body is None:
            return
        mine = phone.actor.user_id
        bound = [phone.held[one]["payload"]["author"] for one in eye["evidence"]]
        if mine in bound:
            REACHED["own work approved"] += 1
        phone.keep("plan.approval", EYE, body)

    def _approval(self, phone: Device, request: str, other: bool) -> dict[str, Any] | None:
        plan = phone.plan()
        if plan["shown"] is not None and other:
            lens = plan["shown"]["lens"]
            wanted = 12500 if lens["length_um"] != 12500 else 13000
            plan = phone.plan({**lens, "length_um": wanted})
        return None if plan["shown"] is None else phone.approval_of(request, plan["shown"])

    @rule(name=st.sampled_from(SURGEONS), kind=st.sampled_from(("plan.question", "plan.decline")))
    def say(self, name: str, kind: str) -> None:
        """Ask the camp, or decline."""
        request = self.phones[name].fold()["request"]
        if request is not None:
            self.phones[name].keep(kind, EYE, {"request": request["id"], "text": "Too shallow?"})
            REACHED["declined"] += kind == "plan.decline"

    @rule(name=st.sampled_from(CAMPS))
    def reply(self, name: str) -> None:
        """Answer the surgeon's question."""
        question = self.phones[name].fold()["question"]
        if question is not None:
            self.phones[name].keep("plan.answer", EYE, {"question": question["id"], "text": "No."})

    @rule(name=st.sampled_from(ALL), pick=st.integers(0, 20))
    def take_back(self, name: str, pick: int) -> None:
        """Take back one's own decision, or try to with somebody else's."""
        phone = self.phones[name]
        kinds = ("plan.request", *oracle.DECIDED, "decision.settled", "late.answered")
        made = sorted(
            one["id"] for one in phone.held.values() if one["payload"]["kind"] in kinds
        )  # fmt: skip
        if made:
            target = made[pick % len(made)]
            phone.keep("plan.withdrawal", EYE, {"target": target}, reason="Second thoughts")
            REACHED["taken back"] += 1

    @rule(name=st.sampled_from(SURGEONS), pick=st.integers(0, 5))
    def settle(self, name: str, pick: int) -> None:
        """Settle a contradiction; one of its parties tries it too."""
        phone = self.phones[name]
        named = phone.fold()["contradicting"]
        if len(named) < 2:
            return
        authors = {phone.held[one]["payload"]["author"] for one in named}
        REACHED["settled by a party"] += phone.actor.user_id in authors
        kept = [*named, None][pick % (len(named) + 1)]
        body = {"decisions": named, "kept": kept}
        phone.keep("decision.settled", EYE, body, reason="Weighed both")
        REACHED["settled"] += 1

    @rule(name=st.sampled_from(SURGEONS), said=st.sampled_from(("keep", "cancel", "plan_again")))
    def answer_late(self, name: str, said: str) -> None:
        """Answer what came after the order, one's own records included."""
        phone = self.phones[name]
        late = phone.fold()["late"]
        if late is None or not late["unanswered"]:
            return
        seen = sorted({one["record"] for one in late["unanswered"]})
        body = {"order": late["order"], "seen": seen, "answer": said}
        phone.keep("late.answered", EYE, body, reason="Weighed it")
        REACHED["late answered"] += 1

    # What the network does.

    @rule(name=st.sampled_from(ALL), how=st.sampled_from(HOW))
    def push_so(self, name: str, how: str) -> None:
        """Send the outbox as the network will have it."""
        self.push(name, how)

    def push(self, name: str, how: str) -> None:
        """Send the outbox: whole, its beginning, without hearing the answer, or twice in one."""
        phone = self.phones[name]
        batch = phone.outbox[:1] if how == "part" else list(phone.outbox)
        if how == "twice":
            batch = [one for each in batch for one in (each, each)]
        if not batch:
            return
        receipts = self._handed_in(phone, batch)
        if how == "lost":
            REACHED["lost acknowledgement"] += 1
        else:
            phone.acknowledge(receipts)
        REACHED["sent twice"] += how == "twice"

    @rule(name=st.sampled_from(ALL), seed=st.integers(0, 99))
    def push_out_of_order(self, name: str, seed: int) -> None:
        """Send the outbox shuffled; what cannot follow is refused and stays to be sent again."""
        phone = self.phones[name]
        if len(phone.outbox) < 2:
            return
        batch = list(phone.outbox)
        Random(seed).shuffle(batch)  # noqa: S311 - a shuffle, no secret
        receipts = self._handed_in(phone, batch)
        chain = ("chain.gap", "chain.fork")
        phone.acknowledge(
            [one for one in receipts if one.reason is None or one.reason.code not in chain]
        )
        REACHED["out of order"] += 1

    def _handed_in(self, phone: Device, batch: list[dict[str, str]]) -> list[Any]:
        known = set(payloads())
        receipts = phone.push(batch)
        for receipt in receipts:
            REACHED["refused at the base"] += receipt.result == "refused"
            code = receipt.reason.code if receipt.reason else ""
            REACHED["refused as revoked"] += code == "key.revoked"
            if receipt.result == "stored" and phone.kid in self.revoked:
                self.wrong.append("I8: a revoked key's record was stored")
            if receipt.result == "known" and receipt.id not in known | set(payloads()):
                self.wrong.append("I10: acknowledged and not here")
        return receipts

    @rule(name=st.sampled_from(ALL))
    def pull(self, name: str) -> None:
        """Fetch; with nothing waiting the phone shows what the base shows."""
        phone = self.phones[name]
        phone.pull()
        entries = journal.entries_of_person(PERSON)
        if phone.held.keys() == {one.id for one in entries}:
            here, there = phone.fold(), fold_of([as_entry(one) for one in entries])
            assert here == there, "I23: phone and base differ"
            REACHED["phones agree"] += 1

    @rule(name=st.sampled_from(SURGEONS), victim=st.sampled_from(SURGEONS),
          how=st.sampled_from(("lens", "author", "key", "signature", "eye", "digest")))  # fmt: skip
    def forge(self, name: str, victim: str, how: str) -> None:
        """Hand in an approval with something of it changed; nothing of it may ever count."""
        phone, other = self.phones[name], self.phones[victim]
        eye = phone.fold()
        if eye["request"] is None:
            return
        body = self._approval(phone, eye["request"]["id"], other=False)
        if body is None:
            return
        payload = phone.payload("plan.approval", EYE, body)
        envelope = self._forged(phone, other, payload, how)
        if envelope is None:
            return
        REACHED["forged"] += 1
        (receipt,) = phone.push([envelope])
        if receipt.result == "stored":
            self.wrong.append("T5: a forged approval was stored, " + how)

    def _forged(
        self, phone: Device, other: Device, payload: dict[str, Any], how: str
    ) -> dict[str, str] | None:
        body, shown = payload["body"], payload["body"]["shown"]
        if how == "digest":
            payload = {**payload, "body": {**body, "digest": "0" * 64}}
        elif how == "eye":
            payload = {**payload, "eye": "L"}
        elif how in ("author", "key") and phone is not other:
            one = {"author": other.actor.user_id} if how == "author" else {"key": other.kid}
            payload = {**payload, **one}
        elif how in ("lens", "signature"):
            length_um = 13000 if shown["lens"]["length_um"] != 13000 else 12500
            shown = {**shown, "lens": {**shown["lens"], "length_um": length_um}}
            changed = {**payload, "body": {**body, "shown": shown, "digest": digest_of(shown)}}
            # The bytes of one record under the signature of another.
            good = _sealed(payload, phone)
            bad = _sealed(changed, phone)
            return None if good is None or bad is None else {**bad, "sig": good["sig"]}
        else:
            return None
        envelope = _sealed(payload, phone)
        if envelope is not None and how == "author":
            # The chain has its place taken even by a refused record.
            phone.seq, phone.prev = payload["seq"], open_envelope(envelope).id
        return envelope

    # What the base does.

    @rule(name=st.sampled_from(SURGEONS))
    @precondition(lambda self: not self.revoked)
    def revoke(self, name: str) -> None:
        """A surgeon's phone is lost."""
        phone = self.phones[name]
        key_authority.revoke(actor("rook"), phone.kid, Revocation("lost", None))
        self.revoked.add(phone.kid)
        REACHED["revoked"] += 1

    @rule(age_y=st.integers(19, 22))
    def change_limits(self, age_y: int) -> None:
        """Other limits come into force."""
        values = {**limits.defaults(), "age_stop_below_y": age_y - 2}
        body = {"title": "Test limits", "values": values}
        reference.adopt(actor("rook"), "limits.adopted", body)
        REACHED["limits changed"] += 1

    @rule(pick=st.integers(0, 20), newest=st.booleans())
    def order(self, pick: int, newest: bool) -> None:
        """The desk orders: from the approval its page shows, or from any that there is."""
        records = payloads()
        approvals = sorted(one for one in records if records[one]["kind"] == "plan.approval")
        if not approvals:
            return
        shown = self.at_base()["approval"]
        wanted = shown["id"] if newest and shown else approvals[pick % len(approvals)]
        before = oracle.live_orders(records, EYE)
        try:
            placed = order.place(actor("fenn"), PERSON, EYE, wanted, PASSPHRASE)
        except Refused:
            REACHED["order refused"] += 1
            return
        if placed in before:
            return
        records = payloads()
        broken = oracle.wrong_with(records, placed, in_force(), self.revoked)
        assert not broken, f"an order that must not exist: {broken}"
        REACHED["ordered"] += 1
        settled = any(one["kind"] == "decision.settled" for one in records.values())
        REACHED["ordered after a settlement"] += settled

    @rule()
    def cancel(self) -> None:
        """The desk cancels."""
        for placed in oracle.live_orders(payloads(), EYE):
            order.cancel(actor("fenn"), placed, "The surgeon says so", PASSPHRASE)
            REACHED["cancelled"] += 1

    def at_base(self) -> dict[str, Any]:
        """Return the eye as the base has it."""
        return fold_of([as_entry(one) for one in journal.entries_of_person(PERSON)])

    # Walks to where it gets interesting.

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

    # What holds after every step.

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


def _sealed(payload: dict[str, Any], phone: Device) -> dict[str, str] | None:
    """Seal a payload as a changed phone would, whatever its form allows."""
    try:
        return seal(payload, phone.key)
    except BadRecord:
        # What cannot even be written is no forgery.
        return None


def in_force() -> tuple[str, str]:
    """Return the ids of the catalogue and the limits in force."""
    now = reference.in_force()
    return now["catalogue"]["id"], now["limits"]["id"]


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


def not_reached(reached: Counter[str]) -> list[str]:
    """Return what a run must reach and did not."""
    return [name for name in MUST_REACH if not reached[name]]
