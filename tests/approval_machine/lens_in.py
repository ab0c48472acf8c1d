"""A lens goes into the eye, is read, taken out, exchanged: by what a phone knows.

A changed phone hands in what no page offers; what the base takes is held before the oracles.
"""

from typing import Any

from hypothesis import strategies as st
from hypothesis.stateful import rule

from tests.approval_machine import oracle, oracle_backups, oracle_lenses
from tests.approval_machine.oracle_lenses import REMOVAL, SURGERY
from tests.approval_machine.people import ALL, SURGEONS
from tests.approval_machine.reached import REACHED
from tests.approval_machine.theatre import SERIALS, InTheatre
from tests.approval_machine.world import EYE, Device
from tests.flow.surgeries import LENS, surgery, vault
from tests.hospital import WALL

OPERATED_ON, EXCHANGED_ON, REMOVED_ON = WALL[:10], "2026-11-26", "2026-11-27"
READ_ON = ("2026-11-25T12:00:00.000Z", "2026-11-28T08:00:00.000Z")
"""Soon after the first surgery, and later than every surgery here and the day around it."""
HOW = (
    "as checked", "for a reason", "unsaid", "another serial", "another day", "other eye",
    "no order", "same serial", "names nothing", "names another", "wrong one out", "before it",
    "the other one",
)  # fmt: skip
"""What is said of a surgery, the most of it wrong."""
MENDED = ("serial", "names itself", "earlier", "names nothing")
"""What the correction of a surgery changes."""


class LensIn(InTheatre):
    """Surgeons at an eye with a lens in it, and whoever reads it."""

    @rule(
        how=st.sampled_from(HOW), name=st.sampled_from(SURGEONS), serial=st.sampled_from(SERIALS),
        pick=st.integers(0, 5),
    )  # fmt: skip
    def operate(self, how: str, name: str, serial: str, pick: int) -> None:
        """Implant a lens, in the place of the one that lies in the eye where one does."""
        phone = self.phones[name]
        known = phone.known()
        check = self._check_to_name(known)
        body = self._surgery(phone, check, serial)
        body |= {
            "for a reason": {"theatre_check": None, "unchecked_reason": "No tablet was there."},
            "unsaid": {"theatre_check": None},
            "another serial": {"serial": "SER7"},
            "same serial": {
                "serial": "ser 9", "order": None, "approval": None, "theatre_check": None,
            },
            "another day": {"operated": "2026-11-21"},
            "no order": {
                "serial": serial, "order": None, "approval": None, "theatre_check": None,
            },
            "the other one": self._other_of_two(known, body["order"]),
            "names nothing": {"explants": None, "explanted_serial": None},
            "names another": self._taken_out(known, sorted(oracle.live(known, SURGERY)), pick),
            "wrong one out": {"explanted_serial": "SER0"} if body["explants"] else {},
            "before it": {
                "operated": "2026-11-24", "serial": "SER5", "explants": None,
                "explanted_serial": None, "order": None, "approval": None, "theatre_check": None,
            },
        }.get(how, {})  # fmt: skip
        phone.keep(SURGERY, "L" if how == "other eye" else EYE, body)
        REACHED["operated"] += 1

    def _other_of_two(self, known: dict[str, Any], order: str | None) -> dict[str, Any]:
        """Return what a surgery says that implants the other lens than that of an order."""
        others = [one for one in self.both(known) if one != order]
        if order is None or not others:
            return {"theatre_check": None}
        placed, serials = known[others[0]]["body"], oracle_backups.serials(known, others[0])
        return {
            "order": others[0], "lens": placed["lens"], "approval": placed["approval"],
            "serial": min(serials, default="SER4"), "theatre_check": None,
        }  # fmt: skip

    def _check_to_name(self, known: dict[str, Any]) -> str | None:
        """Return the newest check in theatre that agreed, None without any."""
        agreed = [
            name for name, one in known.items()
            if one["kind"] == "theatre.checked" and one["body"]["outcome"] == "agrees"
        ]  # fmt: skip
        return agreed[-1] if agreed else None

    def _surgery(self, phone: Device, check: str | None, serial: str) -> dict[str, Any]:
        """Return a surgery as a page would fill it in, by its check or by its order."""
        known = phone.known()
        live = oracle.live_orders(known, EYE)
        order = known[check]["body"]["order"] if check else (live or [None])[0]
        inside = oracle_lenses.lying(known, EYE)
        body = surgery(
            operated=EXCHANGED_ON if oracle_lenses.lenses(known, EYE) else OPERATED_ON,
            serial=known[check]["body"]["trace"]["serial"] if check else serial,
            order=order, approval=known[order]["body"]["approval"] if order else None,
            lens=known[order]["body"]["lens"] if order else LENS,
            theatre_check=check, unchecked_reason=None,
        )  # fmt: skip
        return {**body, **self._taken_out(known, [one.surgery for one in inside], 0)}

    def _taken_out(self, known: dict[str, Any], among: list[str], pick: int) -> dict[str, Any]:
        """Return what a surgery says of one of these lenses that it took out."""
        named = among[pick % len(among)] if among else None
        serial = known[named]["body"]["serial"] if named else None
        return {"explants": named, "explanted_serial": serial, "explanted_reason": None}

    @rule(
        name=st.sampled_from(SURGEONS), pick=st.integers(0, 5),
        how=st.sampled_from(("remove", "wrong one out", "before it", "void", *MENDED)),
    )  # fmt: skip
    def undo(self, name: str, pick: int, how: str) -> None:
        """Take a lens out, or correct or withdraw a record of it, one's own or somebody else's."""
        phone = self.phones[name]
        known = phone.known()
        made = sorted(one for one in known if known[one]["kind"] in (SURGERY, REMOVAL))
        surgeries = [one for one in made if known[one]["kind"] == SURGERY]
        if not surgeries:
            return
        if how in ("remove", "wrong one out", "before it"):
            named = surgeries[pick % len(surgeries)]
            phone.keep(REMOVAL, known[named]["eye"], removal(known[named], named, how))
        elif how == "void":
            target = made[pick % len(made)]
            phone.keep("record.void", known[target]["eye"], {"target": target}, reason="In error")
        else:
            target = made[pick % len(made)]
            kind, body = known[target]["kind"], known[target]["body"]
            body = {**body, "note": "Twice"} if kind == REMOVAL else mended(body, target, how)
            phone.keep(kind, known[target]["eye"], body, replaces=target, reason="Misread")
        REACHED["undone: " + how] += 1

    @rule(
        name=st.sampled_from(ALL), pick=st.integers(0, 5), taken=st.sampled_from(READ_ON),
        vault_um=st.sampled_from((150, 480, 1150)), other=st.booleans(),
    )  # fmt: skip
    def see(self, name: str, pick: int, taken: str, vault_um: int, other: bool) -> None:
        """Read vault and refraction of a lens, one that is out or of the other eye too."""
        phone = self.phones[name]
        known = phone.known()
        surgeries = sorted(one for one in known if known[one]["kind"] == SURGERY)
        inside = oracle_lenses.lying(known, EYE)
        if not surgeries:
            return
        named = inside[0].surgery if inside and pick else surgeries[pick % len(surgeries)]
        eye = "L" if other and pick == 1 else EYE
        phone.keep("followup.vault", eye, vault(named, vault_um=vault_um, taken=taken))
        REACHED["read with a lens"] += 1


def removal(lens: dict[str, Any], named: str, how: str) -> dict[str, Any]:
    """Return the body of a removal of a lens by its surgery."""
    return {
        "implant": named, "operated": "2026-11-20" if how == "before it" else REMOVED_ON,
        "serial": "SER0" if how == "wrong one out" else lens["body"]["serial"],
        "serial_reason": None, "operator": "Dr S. Verrill", "why": "high_vault", "note": None,
    }  # fmt: skip


def mended(body: dict[str, Any], itself: str, how: str) -> dict[str, Any]:
    """Return the corrected body of a surgery."""
    changes: dict[str, dict[str, Any]] = {
        # Another serial number than was checked: whoever corrects it says that there was no check.
        "serial": {"serial": "SER6", "theatre_check": None},
        "names itself": {
            "explants": itself, "explanted_serial": body["serial"], "explanted_reason": None,
        },
        "earlier": {"operated": "2026-11-24"},
        "names nothing": {
            "explants": None, "explanted_serial": None, "explanted_reason": None,
        },
    }  # fmt: skip
    return {**body, **changes[how]}
