"""An eye at the base whose lens lies too high: planned, ordered, operated, seen."""

from typing import Any

import pytest

from tests.answered import about_lens
from tests.flow.surgeries import surgery, vault
from tests.hospital import ANSWERS, READINGS, WALL, Hospital, Phone, plan_of
from webapp.demo_people import PASSPHRASE
from webapp.flow import casefile, order
from webapp.flow.refusal import Refused
from webapp.records.envelope import digest_of

BEFORE, SEEN = "2026-10-01T08:00:00.000Z", "2026-11-20T08:00:00.000Z"
EXCHANGED_ON, LATER = "2026-11-22", "2026-11-24T08:00:00.000Z"
OLD_LENS = {
    "model": "Model A-s", "sphere_cD": -1000, "cylinder_cD": 0, "axis_deg": None,
    "length_um": 13000,
}  # fmt: skip


class Case:
    """A right eye that was planned, ordered and operated, whose lens lies too high."""

    def __init__(self, hospital: Hospital) -> None:
        hospital.adopt_reference()
        self.hospital = hospital
        self.camp, self.surgeon = hospital.phone("ambler"), hospital.phone("verrill")
        self.fenn = hospital.actor("fenn")
        self.person = self.camp.register()
        self.measure("R")
        request = self.camp.send_for_plan(self.person, "R")
        self.approval = self.surgeon.approve(self.person, "R", request)
        self.first_order = self.place(self.approval)
        self.old = self.operate(
            lens=OLD_LENS, order=self.first_order, approval=self.approval, serial="TI-1"
        )
        self.vault = self.see("followup.vault", vault_um=1250)

    def measure(self, eye: str) -> None:
        """Read the eye before its surgery."""
        self.camp.keep("history.answers", self.person, None, dict(ANSWERS))
        for kind, body in READINGS.items():
            self.camp.keep(kind, self.person, eye, {**body, "taken": BEFORE, "typed": {}})

    def see(self, kind: str, implant: str = "", taken: str = SEEN, **body: object) -> str:
        """Keep a reading after surgery."""
        named = implant or self.old
        if kind == "followup.vault":
            full = vault(named, taken=taken, **body)
        else:
            full = {"implant": named, "taken": taken, "typed": {}, **body}
        return self.camp.keep(kind, self.person, "R", full)

    def place(self, approval: str) -> str:
        """Order a lens at the desk."""
        return order.place(self.fenn, self.person, "R", approval, PASSPHRASE)

    def why_not(self, approval: str) -> str:
        """Return the code of the refusal to order."""
        with pytest.raises(Refused) as refused:
            self.place(approval)
        return refused.value.code

    def operate(self, **body: Any) -> str:  # noqa: ANN401
        """Record a surgery of the right eye."""
        return self.surgeon.keep("surgery.implanted", self.person, "R", surgery(**body))

    def asked(self, **more: object) -> dict[str, Any]:
        """Return what the door says of the lens in the eye."""
        return plan_of(self.person, "R", do="exchange", **more)

    def decision(self, what: str = "exchange", **changed: Any) -> dict[str, Any]:  # noqa: ANN401
        """Return the body of a decision, every finding answered."""
        shown = self.asked()["shown" if what == "exchange" else "shown_without"]
        shown = {**shown, **changed.pop("shown", {})}
        body = about_lens(shown, digest_of(shown), what, WALL)
        return {**body, "implant": self.old, **changed}

    def decide(self, what: str = "exchange", who: Phone | None = None, **changed: Any) -> str:  # noqa: ANN401
        """Keep a decision about the lens in the eye; return its id."""
        phone = who or self.surgeon
        return phone.keep("exchange.decided", self.person, "R", self.decision(what, **changed))

    def refused(self, phone: Phone, kind: str, body: dict[str, Any], **changed: object) -> str:
        """Hand a record in that is refused; return the code."""
        (receipt,) = phone.push(phone.record(kind, self.person, "R", body, **changed))
        assert receipt.result == "refused"
        assert receipt.reason is not None
        return receipt.reason.code

    def exchange_body(self, **changed: Any) -> dict[str, Any]:  # noqa: ANN401
        """Return the body of the surgery that puts another lens in the old one's place."""
        return surgery(
            **{
                "serial": "TI-2", "operated": EXCHANGED_ON, "explants": self.old,
                "explanted_serial": "TI-1", "explanted_reason": None, **changed,
            }
        )  # fmt: skip

    def eye(self) -> dict[str, Any]:
        """Return the right eye as the base folds it."""
        eye: dict[str, Any] = casefile.person_file(self.fenn, self.person).fold["eyes"]["R"]
        return eye


def removal(implant: str, **changed: object) -> dict[str, Any]:
    """Return the body of a removal."""
    return {
        "implant": implant, "operated": "2026-11-21", "serial": "TI-1", "serial_reason": None,
        "operator": "Dr S. Verrill", "why": "high_vault", "note": None, **changed,
    }  # fmt: skip
