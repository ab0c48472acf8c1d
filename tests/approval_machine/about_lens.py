"""What is asked and decided about the lens in an eye, by whom and with whatever readings."""

from typing import Any

from hypothesis import strategies as st
from hypothesis.stateful import rule

from tests import answered
from tests.approval_machine import oracle, oracle_lenses
from tests.approval_machine.lens_in import LensIn
from tests.approval_machine.oracle_asking import ASKED
from tests.approval_machine.oracle_lenses import SURGERY
from tests.approval_machine.people import ALL, SURGEONS
from tests.approval_machine.reached import REACHED
from tests.approval_machine.world import EYE, Device
from tests.hospital import WALL
from webapp.records.envelope import digest_of

WITHOUT_A_LENS = ("observe", "turn", "rerotate", "corneal", "remove")
"""Decisions that name no other lens."""
WHY = ("high_vault", "turned", "refraction", "patient")


class AboutLens(LensIn):
    """Surgeons who decide about a lens, and everybody who asks them to."""

    @rule(
        name=st.sampled_from(ALL), why=st.sampled_from(WHY), pick=st.integers(0, 5),
        other=st.booleans(),
    )  # fmt: skip
    def ask_to_exchange(self, name: str, why: str, pick: int, other: bool) -> None:
        """Ask that an exchange be weighed: of the lens in the eye, or of one that is out."""
        phone = self.phones[name]
        known = phone.known()
        surgeries = sorted(oracle.live(known, SURGERY))
        inside = [one.surgery for one in oracle_lenses.lying(known, EYE)]
        if not surgeries:
            return
        named = surgeries[pick % len(surgeries)] if other or not inside else inside[0]
        body = {"implant": named, "why": why, "note": None}
        phone.keep(ASKED, known[named]["eye"], body)
        REACHED["asked to weigh an exchange"] += 1

    @rule(name=st.sampled_from(ALL), pick=st.integers(0, 5))
    def ask_no_more(self, name: str, pick: int) -> None:
        """Withdraw what was asked, or try to with what somebody else asked."""
        phone = self.phones[name]
        asked = sorted(one for one, each in phone.known().items() if each["kind"] == ASKED)
        if asked:
            body = {"target": asked[pick % len(asked)]}
            phone.keep("record.void", EYE, body, reason="Not any more")

    @rule(
        name=st.sampled_from(SURGEONS), pick=st.integers(0, 5), heard=st.booleans(),
        what=st.sampled_from(("exchange", "exchange", "another length", "other readings",
                              *WITHOUT_A_LENS)),
    )  # fmt: skip
    def decide(self, name: str, what: str, pick: int, heard: bool = True) -> None:
        """Decide about the lens in the eye, whoever measured it and whatever else was decided.

        Args:
            name: whose phone.
            what: the decision, or what a changed phone makes of one to exchange it.
            pick: how many readings a changed phone binds.
            heard: it names what was asked, as its page does; a changed phone names nothing.
        """
        phone = self.phones[name]
        shown = self._shown(phone, what)
        if shown is None:
            return
        if what == "other readings":
            # A changed phone binds readings of whatever lens it likes.
            read = sorted(
                one for one, each in phone.known().items() if each["kind"].startswith("followup.")
            )  # fmt: skip
            shown = {**shown, "followups": read[: pick + 1]}
        decision = what if what in WITHOUT_A_LENS else "exchange"
        mine = phone.actor.user_id
        bound = [phone.known()[one]["author"] for one in shown["followups"] + shown["evidence"]]
        REACHED["own reading decided on"] += mine in bound
        body = answered.about_lens(shown, digest_of(shown), decision, WALL)
        answers = self._waiting(phone) if heard else []
        phone.keep("exchange.decided", EYE, {**body, "answers": answers} if answers else body)
        REACHED["decided: " + decision] += 1

    def _waiting(self, phone: Device) -> list[str]:
        """Return what was asked about the lens in the eye and waits, as its page lists it."""
        asked = (phone.fold()["exchange"] or {"asked": []})["asked"]
        return sorted(one["id"] for one in asked if not one["answered"])

    def _shown(self, phone: Device, what: str) -> dict[str, Any] | None:
        """Return what the page of an exchange shows, None where it offers nothing."""
        answer = phone.plan(do="exchange")
        if not answer.get("possible"):
            return None
        lens = answer["recommended"]
        if what == "another length" and lens is not None:
            length_um = 12000 if lens["length_um"] != 12000 else 12500
            answer = phone.plan({**lens, "length_um": length_um}, do="exchange")
        shown: dict[str, Any] | None = answer[
            "shown_without" if what in WITHOUT_A_LENS else "shown"
        ]
        return shown
