"""What people write about a lens that is here: its check in theatre, its surgery, what they read.

Each looks at what its phone holds, and does what comes next there; now and then it does something
that no page offers, which the base must refuse.
"""

from random import Random

from tests import at_the_table
from tests.flow.surgeries import LENS, TAKEN, surgery, vault
from tests.simulation import base, clinic
from tests.simulation.clinic import EYE, Said
from tests.simulation.phone import Phone
from tests.simulation.phone_store import Row
from tests.simulation.urgent_first import PRESSURE, VAULT

SURGERY, CHECKED, CONFIRMED = "surgery.implanted", "theatre.checked", "theatre.confirmed"
OPERATED_ON = TAKEN[:10]
SLIPS = 0.1
"""How often somebody does what no page offers."""

URGENT = {PRESSURE: ("iop_dmmHg", 420), VAULT: ("vault_um", 60)}
HARMLESS = {PRESSURE: ("iop_dmmHg", 150), VAULT: ("vault_um", 480)}
"""What is read: field and value [0.1 mmHg, um]."""


def about(person: str, kind: str, body: Said, **more: object) -> Said:
    """Return a record about the eye that the histories are about."""
    return {"kind": kind, "person": person, "eye": EYE, "body": body, **more}


def standing(phone: Phone, person: str, *kinds: str) -> list[Row]:
    """Return what a phone holds of some kinds that nobody withdrew or corrected, as it is drawn."""
    gone = {
        row.payload["replaces"] or row.payload["body"].get("target")
        for row in phone.about(person)
    }  # fmt: skip
    rows = [row for kind in kinds for row in clinic.of_kind(phone, person, kind)]
    return [row for row in rows if row.id not in gone]


def agreeing(phone: Phone, person: str, kind: str) -> list[Row]:
    """Return the checks of a kind that agreed."""
    rows = clinic.of_kind(phone, person, kind)
    return [row for row in rows if row.payload["body"]["outcome"] == "agrees"]


def at_table(rng: Random, phone: Phone, person: str) -> Said | None:
    """Return what comes next with the lens: confirmed, implanted, else checked."""
    own = base.actor(phone.name).user_id
    if standing(phone, person, SURGERY):
        return change_of_surgery(rng, phone, person) if rng.random() < SLIPS else None
    seconds = [
        row.payload["body"]["check"] for row in clinic.of_kind(phone, person, CONFIRMED)
    ]  # fmt: skip
    checks = agreeing(phone, person, CHECKED)
    alone = [row for row in checks if row.id not in seconds]
    mine = [row for row in alone if row.payload["author"] == own]
    if len(alone) > len(mine) and rng.random() < 0.9:
        others = [row for row in alone if row not in mine]
        return about(person, CONFIRMED, at_the_table.confirmed(rng.choice(others).id))
    done = [row for row in checks if row.id in seconds]
    if (done and rng.random() < 0.9) or rng.random() < SLIPS / 3:
        return implanted(rng, phone, person, done or checks)
    if mine and rng.random() < 0.8:
        # Waits for the second person; nobody is one beside themselves.
        slips = rng.random() < SLIPS
        said = at_the_table.confirmed(rng.choice(mine).id)
        return about(person, CONFIRMED, said) if slips else None
    return check(rng, phone, person)


def check(rng: Random, phone: Phone, person: str) -> Said | None:
    """Return a check in theatre of a box that the desk checked: right, stopped, or made up."""
    boxes = agreeing(phone, person, "label.checked")
    if not boxes:
        return None
    box = rng.choice(boxes)
    said: Said = rng.choice(({},) * 10 + OTHERWISE)
    body = at_the_table.checked(box.id, box.payload["body"], EYE, **said)
    return about(person, CHECKED, body)


WRONG_BOX = {"trace": {"lot": "LOT7", "serial": "SER0", "expiry_date": "2031-02-28"}}
OTHERWISE: tuple[Said, ...] = (
    at_the_table.stopped(), {**WRONG_BOX, "outcome": "differs"}, WRONG_BOX,
)  # fmt: skip
"""What a check may say but that it agrees; the last of these the base must refuse."""


def implanted(rng: Random, phone: Phone, person: str, checks: list[Row]) -> Said:
    """Return a surgery by one of these checks, or one that names none."""
    named = rng.choice(checks) if checks and rng.random() < 0.9 else None
    orders = clinic.of_kind(phone, person, "order.placed")
    order = named.payload["body"]["order"] if named else rng.choice([*orders, None])
    order_id = order.id if isinstance(order, Row) else order
    placed = [row.payload["body"] for row in orders if row.id == order_id]
    serial = named.payload["body"]["trace"]["serial"] if named else rng.choice(("SER9", "SER8"))
    if named and rng.random() < SLIPS:
        # Not the lens that was checked; only a record without that check may say so.
        serial = "SER7"
    body = surgery(
        operated=OPERATED_ON, serial=serial, order=order_id,
        approval=placed[0]["approval"] if placed else None,
        lens=placed[0]["lens"] if placed else LENS,
        theatre_check=named.id if named else None,
        unchecked_reason=None if named else "No tablet was there.",
    )  # fmt: skip
    return about(person, SURGERY, body)


def change_of_surgery(rng: Random, phone: Phone, person: str) -> Said:
    """Return the withdrawal of a surgery or its correction, one's own or somebody else's."""
    row = rng.choice(standing(phone, person, SURGERY))
    if rng.random() < 0.5:
        return clinic.withdrawal(row)
    body = {**row.payload["body"], "serial": "SER6", "theatre_check": None,
            "unchecked_reason": "The label was misread."}  # fmt: skip
    return about(person, SURGERY, body, replaces=row.id, reason="Misread")


def seen_after(rng: Random, phone: Phone, person: str) -> Said | None:
    """Return what is read of an eye with a lens, what cannot wait first, and who was told of it."""
    surgeries = clinic.of_kind(phone, person, SURGERY)
    if not surgeries:
        return clinic.reading(rng, person) if rng.random() < SLIPS else None
    own = base.actor(phone.name).user_id
    read = standing(phone, person, PRESSURE, VAULT)
    mine = [row for row in read if row.payload["author"] == own]
    if mine and rng.random() < 0.25:
        return told(rng.choice(mine)) if rng.random() < 0.5 else taken_out(rng, rng.choice(read))
    lens = rng.choice(standing(phone, person, SURGERY) or surgeries)
    cannot_wait = not mine or rng.random() < 0.3
    return reading(lens.id, person, rng.choice((PRESSURE, VAULT)), cannot_wait)


def reading(implant: str, person: str, kind: str, cannot_wait: bool) -> Said:
    """Return a reading of an eye with a lens in it."""
    field, value = (URGENT if cannot_wait else HARMLESS)[kind]
    if kind == VAULT:
        return about(person, kind, vault(implant, **{field: value}))
    body = {"implant": implant, field: value, "device": "Tonometer", "taken": TAKEN, "typed": {}}
    return about(person, kind, body)


def taken_out(rng: Random, row: Row) -> Said:
    """Return the withdrawal or the correction of a reading, one's own or to be refused."""
    if rng.random() < 0.5:
        return clinic.withdrawal(row)
    kind, body = row.payload["kind"], row.payload["body"]
    said = reading(body["implant"], row.payload["person"], kind, cannot_wait=False)
    return {**said, "replaces": row.id, "reason": "Misread"}


def told(row: Row) -> Said:
    """Return that somebody was told of a reading."""
    body = {
        "implant": row.payload["body"]["implant"], "readings": [row.id], "whom": "Dr S. Verrill",
        "how": "phone", "text": "She comes back at once.",
    }  # fmt: skip
    return about(row.payload["person"], "urgent.told", body)
