"""What the base does: revoke, adopt, order, cancel; each order is held before the oracle."""

from typing import Any

from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from tests.approval_machine import oracle, oracle_backups, oracle_exchange, oracle_lenses
from tests.approval_machine.network import Network
from tests.approval_machine.people import SURGEONS
from tests.approval_machine.reached import REACHED
from tests.approval_machine.world import EYE, PERSON, actor, fold_of, payloads
from tests.hospital import WALL
from webapp.core import limits
from webapp.demo_people import PASSPHRASE
from webapp.flow import folding, key_authority, order, reference
from webapp.flow.calculation import as_entry
from webapp.flow.key_authority import Revocation
from webapp.flow.refusal import Refused
from webapp.store import journal

ORDERED_FROM = ("plan.approval", "exchange.decided")


class Base(Network):
    """The desk and the administrator."""

    @rule(name=st.sampled_from(SURGEONS), stolen=st.booleans())
    @precondition(lambda self: not self.revoked)
    def revoke(self, name: str, stolen: bool = False) -> None:
        """A surgeon's phone is lost, or was in other hands since before this history."""
        phone = self.phones[name]
        why = Revocation("stolen", WALL) if stolen else Revocation("lost", None)
        key_authority.revoke(actor("rook"), phone.kid, why)
        self.revoked.add(phone.kid)
        REACHED["revoked as stolen" if stolen else "revoked"] += 1

    @rule(age_y=st.integers(19, 22))
    def change_limits(self, age_y: int) -> None:
        """Other limits come into force."""
        values = {**limits.defaults(), "age_stop_below_y": age_y - 2}
        body = {"title": "Test limits", "values": values}
        reference.adopt(actor("rook"), "limits.adopted", body)
        REACHED["limits changed"] += 1

    @rule(pick=st.integers(0, 20), newest=st.booleans())
    def order_something(self, pick: int, newest: bool) -> None:
        """The desk orders."""
        self.order(pick, newest)

    def order(self, pick: int, newest: bool) -> None:
        """Order from the approval its page shows, or from any that there is."""
        records = payloads()
        approvals = sorted(one for one in records if records[one]["kind"] in ORDERED_FROM)
        if not approvals:
            return
        shown = self.at_base()["approval"]
        wanted = shown["id"] if newest and shown else approvals[pick % len(approvals)]
        try:
            placed = order.place(actor("fenn"), PERSON, EYE, wanted, PASSPHRASE)
        except Refused:
            REACHED["order refused"] += 1
            return
        if placed not in records:
            self._hold_order_before_the_oracle(placed)

    def _hold_order_before_the_oracle(self, placed: str) -> None:
        records = payloads()
        is_plan = records[records[placed]["body"]["approval"]]["kind"] == "plan.approval"
        judge = oracle.wrong_with if is_plan else oracle_exchange.wrong_with_order
        broken = judge(records, placed, in_force(), self.revoked)
        assert not broken, f"an order that must not exist: {broken}"
        assert not is_plan or not oracle_lenses.lying(records, EYE), "a lens lies in the eye"
        broken = oracle_backups.wrong_with_orders(records)
        assert not broken, f"two orders that must not be: {broken}"
        two = oracle_backups.standing_backups(records, placed)
        REACHED["both lenses ordered"] += bool(two)
        REACHED["ordered" if is_plan else "ordered for an exchange"] += 1
        settled = any(one["kind"] == "decision.settled" for one in records.values())
        REACHED["ordered after a settlement"] += settled

    @rule(reply=st.sampled_from((None, "Taken back")))
    def cancel(self, reply: str | None) -> None:
        """The desk cancels; what the supplier confirmed only with its answer (I26)."""
        for placed in oracle.live_orders(payloads(), EYE):
            try:
                order.cancel(actor("fenn"), placed, "The surgeon says so", PASSPHRASE, reply)
            except Refused:
                REACHED["not cancelled without an answer"] += 1
            else:
                REACHED["cancelled"] += 1

    def at_base(self) -> dict[str, Any]:
        """Return the eye as the base has it."""
        return fold_of([as_entry(one) for one in journal.entries_of_person(PERSON)])


def in_force() -> tuple[str, str]:
    """Return the ids of the catalogue and the limits in force."""
    now = folding.in_force()
    return now["catalogue"]["id"], now["limits"]["id"]
