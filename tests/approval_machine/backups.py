"""Two lenses for one eye: a back-up is named, ordered, cancelled alone, released by a surgeon."""

from typing import Any

from hypothesis import strategies as st
from hypothesis.stateful import rule

from tests.approval_machine import oracle, oracle_backups
from tests.approval_machine.people import SURGEONS
from tests.approval_machine.reached import REACHED
from tests.approval_machine.registrations import Registrations
from tests.approval_machine.world import EYE, actor, payloads
from webapp.demo_people import PASSPHRASE
from webapp.flow import order
from webapp.flow.refusal import Refused


class Backups(Registrations):
    """Surgeons who release a back-up, and the desk that holds both orders."""

    def both(self, records: dict[str, Any]) -> list[str]:
        """Return the orders that stand, a chosen lens's before that of its back-up."""
        return [
            one
            for chosen in oracle.live_orders(records, EYE)
            for one in (chosen, *oracle_backups.standing_backups(records, chosen))
        ]

    def picked(self, spare: bool) -> list[str]:
        """Return the order that stands of the chosen lens, or of its back-up where there is one."""
        return self.both(payloads())[-1:] if spare else self.both(payloads())[:1]

    @rule(
        name=st.sampled_from(SURGEONS), pick=st.integers(0, 5),
        how=st.sampled_from(("chosen check", "chosen check", "own check", "the other way round")),
    )  # fmt: skip
    def release_backup(self, name: str, how: str, pick: int) -> None:
        """Release the back-up, by a check of the chosen lens or, a changed phone, wrongly."""
        phone = self.phones[name]
        known = phone.known()
        both = self.both(known)
        if len(both) < 2:
            return
        checked = both[1] if how == "own check" else both[0]
        checks = sorted(one for one in known if oracle_backups.is_check_of(known, one, checked))
        if not checks:
            return
        chosen, backup = both[::-1] if how == "the other way round" else both
        body = {"order": backup, "instead_of": chosen, "check": checks[pick % len(checks)]}
        phone.keep(oracle_backups.RELEASE, EYE, body, reason="It is scratched")
        REACHED["back-up released: " + how] += 1

    @rule(reply=st.sampled_from((None, "Taken back")))
    def cancel_backup(self, reply: str | None) -> None:
        """The desk cancels the order of the back-up alone."""
        for placed in self.both(payloads())[1:]:
            try:
                order.cancel(actor("fenn"), placed, "Not made any more", PASSPHRASE, reply)
            except Refused:
                REACHED["not cancelled without an answer"] += 1
            else:
                REACHED["back-up cancelled alone"] += 1
