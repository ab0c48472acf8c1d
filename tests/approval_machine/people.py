"""What people do on their phones, with what their phone knows."""

from typing import Any

from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, rule

from tests.approval_machine import oracle
from tests.approval_machine.reached import REACHED
from tests.approval_machine.world import EYE, Device, width_body
from webapp.records.envelope import digest_of

CAMPS = ("camp", "second_camp")
SURGEONS = ("one", "two", "three")
ALL = (*CAMPS, *SURGEONS)
WIDTHS_UM = (11600, 11700, 11720)
BACKUPS = ("none", "none", "offered", "twice", "another length")
"""Which lens an approval names beside the chosen one."""


class People(RuleBasedStateMachine):
    """Two phones of a camp, three of surgeons."""

    phones: dict[str, Device]

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

    @rule(
        name=st.sampled_from(SURGEONS), other=st.booleans(), strict=st.booleans(),
        backup=st.sampled_from(BACKUPS),
    )  # fmt: skip
    def approve(self, name: str, other: bool, strict: bool, backup: str = "none") -> None:
        """Approve the recommended lens or another one; without ``strict`` whatever the page says.

        Args:
            name: whose phone.
            other: another length than the recommended one.
            strict: only where the page offers it.
            backup: which lens is named beside it; a changed phone names one of another length.

        The page offers no approval of an eye that one measured, or that waits for somebody else. A
        changed phone might.
        """
        phone = self.phones[name]
        eye = phone.fold()
        if eye["request"] is None or (strict and eye["state"] not in ("queued", "stale")):
            return
        body = self._approval(phone, eye["request"]["id"], other, backup)
        if body is None:
            return
        mine = phone.actor.user_id
        bound = [phone.held[one]["payload"]["author"] for one in eye["evidence"]]
        if mine in bound:
            REACHED["own work approved"] += 1
        phone.keep("plan.approval", EYE, body)

    def _approval(
        self, phone: Device, request: str, other: bool, backup: str = "none"
    ) -> dict[str, Any] | None:
        plan = phone.plan()
        if plan["shown"] is not None and other:
            lens = plan["shown"]["lens"]
            wanted = 12500 if lens["length_um"] != 12500 else 13000
            plan = phone.plan({**lens, "length_um": wanted})
        if plan["shown"] is None:
            return None
        body = phone.approval_of(request, plan["shown"])
        named = backup_of(plan, backup)
        return body if named is None else {**body, "backup": named}

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
        kinds = (
            "plan.request", *oracle.DECIDED, "exchange.decided", "decision.settled",
            "late.answered", "backup.released",
        )  # fmt: skip
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


def backup_of(plan: dict[str, Any], which: str) -> dict[str, Any] | None:
    """Return the back-up that an approval of a plan names, None for none."""
    lens = plan["shown"]["lens"]
    others = [one for one in plan["backups"] if one != lens]
    return {
        "offered": others[0] if others else None,
        "twice": lens,
        "another length": {**lens, "length_um": 12000 if lens["length_um"] != 12000 else 13000},
    }.get(which)
