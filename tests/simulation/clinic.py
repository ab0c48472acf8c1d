"""What people do on their phones: which record comes next, from what the phone holds."""

from random import Random
from typing import Any

from tests.hospital import ANSWERS, READINGS, WALL, person_body
from tests.simulation import base
from tests.simulation.phone import Phone
from tests.simulation.phone_store import Row
from webapp.core_bundle import core_sha256
from webapp.flow import calculation, clock
from webapp.flow.reference import as_adopted
from webapp.records.envelope import digest_of

EYE = "R"
Said = dict[str, Any]
DECIDED = ("plan.approval", "plan.decline")
TAKEN_BACK = ("plan.approval", "plan.request", "decision.settled", "late.answered")
OTHER_LENGTH_UM = 500
"""The catalogue's lengths are this far apart [um]."""


def person_id(rng: Random) -> str:
    """Return a new person's id."""
    return f"0193a5c0-0000-7000-8000-{rng.getrandbits(48):012x}"


def registration(person: str, **changed: object) -> Said:
    """Return a registration."""
    body = person_body(**changed)
    return {"kind": "person.registered", "person": person, "eye": None, "body": body}


def whole_eye(person: str) -> list[Said]:
    """Return the answers and every required reading of the right eye."""
    about = {"person": person, "eye": EYE}
    answers = {"kind": "history.answers", "person": person, "eye": None, "body": dict(ANSWERS)}
    full = {kind: {**body, "taken": WALL, "typed": {}} for kind, body in READINGS.items()}
    return [answers, *({"kind": kind, "body": body, **about} for kind, body in full.items())]


def reading(rng: Random, person: str) -> Said:
    """Return one more reading of the white-to-white."""
    body = {"diameter_um": 11700 + 10 * rng.randrange(3), "device": "Caliper"}
    return {
        "kind": "reading.white_to_white", "person": person, "eye": EYE,
        "body": {**body, "taken": WALL, "typed": {}},
    }  # fmt: skip


def of_kind(phone: Phone, person: str, kind: str) -> list[Any]:
    """Return what a phone holds of a kind about a person, in an order that no clock disturbs."""
    rows = [row for row in phone.about(person) if row.payload["kind"] == kind]
    return sorted(rows, key=lambda row: (row.kid, row.seq))


def correction(rng: Random, phone: Phone, person: str) -> Said | None:
    """Return a correction of a reading: usually one's own, else the base must refuse it."""
    rows = of_kind(phone, person, "reading.white_to_white")
    if not rows:
        return None
    row = rng.choice(rows)
    under = row.payload["person"]
    return {**reading(rng, under), "replaces": row.id, "reason": "read again"}


def void(rng: Random, phone: Phone, person: str) -> Said | None:
    """Return the withdrawal of a reading: usually one's own, else the base must refuse it."""
    rows = of_kind(phone, person, "reading.white_to_white")
    if not rows:
        return None
    return withdrawal(rng.choice(rows))


def withdrawal(row: Row) -> Said:
    """Return the withdrawal of a reading or of a comparison, under its own registration."""
    return {
        "kind": "record.void", "person": row.payload["person"], "eye": row.payload["eye"],
        "reason": "wrong eye", "body": {"target": row.id},
    }  # fmt: skip


def compared(rng: Random, phone: Phone, person: str, other: str) -> Said | None:
    """Return what somebody says of two registrations, or that it is taken back."""
    if not of_kind(phone, person, "person.registered"):
        return None
    said = of_kind(phone, person, "person.compared")
    if said and rng.random() < 0.2:
        return withdrawal(rng.choice(said))
    return comparison(person, other, rng.choice(("same", "same", "same", "different")))


def comparison(person: str, other: str, answer: str) -> Said:
    """Return what somebody says of two registrations."""
    body = {"other": other, "answer": answer}
    return {"kind": "person.compared", "person": person, "eye": None, "body": body}


def _shown(phone: Phone, person: str, choice: Said | None = None) -> Said | None:
    """Return what the plan of this phone shows, None where it shows nothing to sign."""
    if phone.store.cursors.get("all", 0) == 0:
        return None
    adopted = [row for row in phone.store.records.values() if row.site == "all"]
    newest = {
        row.payload["kind"]: row.id for row in sorted(adopted, key=lambda row: row.received or 0)
    }
    entries = [
        {"id": row.id, "payload": row.payload, "received": None, "state": "ok"}
        for row in sorted(phone.about(person))
    ]
    answer = calculation.ask(
        {
            "do": "plan", "entries": entries, "eye": EYE, "today": clock.today(),
            "reference": as_adopted(newest["catalogue.adopted"], newest["limits.adopted"]),
            "core": core_sha256(), "choice": choice,
        }
    )  # fmt: skip
    shown: Said | None = answer["shown"]
    return shown


def request(phone: Phone, person: str) -> Said | None:
    """Return a request for a plan."""
    shown = _shown(phone, person)
    if shown is None:
        return None
    body = {"shown": shown, "digest": digest_of(shown)}
    return {"kind": "plan.request", "person": shown["person"], "eye": EYE, "body": body}


def approval(rng: Random, phone: Phone, person: str) -> Said | None:
    """Return an approval of one of two lenses, every finding answered."""
    requests = of_kind(phone, person, "plan.request")
    shown = _shown(phone, person) if requests else None
    if shown is None:
        return None
    if rng.random() < 0.4:
        lens = shown["lens"]
        longer = {**lens, "length_um": lens["length_um"] + OTHER_LENGTH_UM}
        shown = _shown(phone, person, longer) or shown
    codes = {
        level: [one["code"] for one in shown["findings"] if one["level"] == level]
        for level in ("stop", "caution")
    }
    body = {
        "request": rng.choice(requests).id, "shown": shown, "digest": digest_of(shown),
        "acknowledged": [{"code": code, "at": WALL} for code in codes["caution"]],
        "overrides": [{"code": code, "reason": "Weighed"} for code in codes["stop"]],
        "read_to_end": 1,
    }  # fmt: skip
    return {"kind": "plan.approval", "person": shown["person"], "eye": EYE, "body": body}


def taken_back(rng: Random, phone: Phone, person: str) -> Said | None:
    """Return the withdrawal of one's own approval, request, settlement or answer."""
    own = base.actor(phone.name).user_id
    rows = [row for kind in TAKEN_BACK for row in of_kind(phone, person, kind)]
    mine = [row for row in rows if row.payload["author"] == own]
    if not mine:
        return None
    row = rng.choice(mine)
    return {
        "kind": "plan.withdrawal", "person": row.payload["person"], "eye": EYE,
        "reason": "thought again", "body": {"target": row.id},
    }  # fmt: skip


def question(rng: Random, phone: Phone, person: str) -> Said | None:
    """Return a question about a request, or a decline of it."""
    requests = of_kind(phone, person, "plan.request")
    if not requests:
        return None
    kind = rng.choice(("plan.question", "plan.question", "plan.decline"))
    body = {"request": rng.choice(requests).id, "text": "Is the axis from the trial frame?"}
    return {"kind": kind, "person": person, "eye": EYE, "body": body}


def answer(rng: Random, phone: Phone, person: str) -> Said | None:
    """Return an answer to a question."""
    questions = of_kind(phone, person, "plan.question")
    if not questions:
        return None
    body = {"question": rng.choice(questions).id, "text": "Yes."}
    return {"kind": "plan.answer", "person": person, "eye": EYE, "body": body}


def _eye(phone: Phone, person: str) -> Said:
    """Return the eye as this phone's page shows it; of reference and keys the base's newest."""
    rows = sorted(phone.about(person), key=lambda row: (row.kid, row.seq))
    folded = base.fold([(row.id, row.payload, row.received) for row in rows])
    eye: Said = folded["eyes"][EYE]
    return eye


def asked_for(rng: Random, phone: Phone, person: str) -> Said | None:
    """Return what this phone's page asks a surgeon for: to settle, or to answer what came late."""
    decided = [one for kind in DECIDED for one in of_kind(phone, person, kind)]
    has_order = bool(of_kind(phone, person, "order.placed"))
    if len(decided) < 2 and not has_order:
        return None
    eye, own = _eye(phone, person), base.actor(phone.name).user_id
    # Ids hold what a clock said, so whatever is drawn from is put in the order of its chains.
    here = {row.id: row for row in phone.about(person)}
    named = sorted(eye["contradicting"], key=lambda name: (here[name].kid, here[name].seq))
    if named and (own not in [here[name].payload["author"] for name in named] or _slips(rng)):
        return settlement(rng, person, named)
    if eye["late"] and eye["late"]["unanswered"]:
        return late_answer(rng, person, eye["late"])
    return None


def _slips(rng: Random) -> bool:
    """Say whether somebody does what the page does not offer, so that the base must refuse it."""
    return rng.random() < 0.1


def settlement(rng: Random, person: str, named: list[str]) -> Said:
    """Return a settlement of what contradicts each other, given in the order of its chains."""
    body = {"decisions": sorted(named), "kept": rng.choice([*named, *named, None])}
    return {
        "kind": "decision.settled", "person": person, "eye": EYE, "reason": "Asked both of them",
        "body": body,
    }  # fmt: skip


def late_answer(rng: Random, person: str, late: Said) -> Said:
    """Return the answer to what came after an order, at times against one's own record."""
    seen = sorted({one["record"] for one in late["unanswered"]})
    answer = rng.choice(("keep", "keep", "keep", "cancel", "plan_again"))
    return {
        "kind": "late.answered", "person": person, "eye": EYE, "reason": "Asked the surgeon",
        "body": {"order": late["order"], "seen": seen, "answer": answer},
    }  # fmt: skip
