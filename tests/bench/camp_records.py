"""Whole people as signed records, of the size and mix that a camp's phone really sends.

The people are the demo's invented ones over and over, each time under a new id: registration,
answers, every reading of both eyes twice where the demo reads twice, and a request for each eye.
"""

import hashlib
from collections.abc import Iterator
from datetime import UTC, datetime
from itertools import cycle, islice
from typing import Any

from cryptography.hazmat.primitives.asymmetric import ec

from demo_fixtures.eyes import readings
from demo_fixtures.people import PEOPLE, Person
from webapp.core_bundle import core_sha256
from webapp.flow import calculation, clock
from webapp.records import canonical
from webapp.records.envelope import digest_of, to_base64url
from webapp.records.signing import DeskKey

Envelope = dict[str, str]
EYES = (("R", "right"), ("L", "left"))


class CampPhone:
    """One phone's key and chain; it signs and keeps nothing else."""

    def __init__(self, user: str, site: str) -> None:
        self.user = user
        self.site = site
        self.key = DeskKey(ec.generate_private_key(ec.SECP256R1()))
        self.kid = self.key.kid
        self._seq = 0
        self._prev: str | None = None

    def sign(self, kind: str, person: str, eye: str | None, body: dict[str, Any]) -> "Signed":
        """Return the next record of this phone's chain. The server is the one that checks it."""
        self._seq += 1
        payload = {
            "v": 1, "kind": kind, "person": person, "eye": eye, "site": self.site,
            "author": self.user, "role": "optometrist", "key": self.kid, "seq": self._seq,
            "prev": self._prev, "wall": now_text(), "replaces": None, "reason": None, "body": body,
        }  # fmt: skip
        signed = Signed(payload, self.key)
        self._prev = signed.id
        return signed


class Signed:
    """One signed record in the forms that its readers need."""

    def __init__(self, payload: dict[str, Any], key: DeskKey) -> None:
        self.payload = payload
        self.spki = key.spki
        self.payload_bytes = canonical.encode(payload)
        self.id = hashlib.sha256(self.payload_bytes).hexdigest()
        self.signature = key.sign(self.payload_bytes)

    def envelope(self) -> Envelope:
        """Return the record as it travels."""
        signature = to_base64url(self.signature)
        return {"p": to_base64url(self.payload_bytes), "kid": self.payload["key"], "sig": signature}

    def entry(self) -> dict[str, Any]:
        """Return the record as the core takes it."""
        return {"id": self.id, "payload": self.payload, "received": None, "state": "ok"}


def people(phone: CampPhone, reference: dict[str, Any]) -> Iterator[list[Signed]]:
    """Yield the records of one person after another, without end."""
    for number, one in enumerate(cycle(PEOPLE)):
        yield whole_person(phone, one, new_id(phone, number), reference)


def records(phone: CampPhone, reference: dict[str, Any], count: int) -> list[Signed]:
    """Return the first ``count`` records of the people that this phone measures."""
    one_by_one = (record for person in people(phone, reference) for record in person)
    return list(islice(one_by_one, count))


def whole_person(
    phone: CampPhone, one: Person, person: str, reference: dict[str, Any]
) -> list[Signed]:
    """Return everything that a camp records of one person."""
    made = [
        phone.sign("person.registered", person, None, one.body()),
        phone.sign("history.answers", person, None, one.answers()),
    ]
    for eye, side in EYES:
        for kind, body in readings(getattr(one, side)[1]):
            made.append(phone.sign(kind, person, eye, {**body, "taken": now_text(), "typed": {}}))
    return made + [phone.sign(*asked) for asked in requests(person, made, reference)]


def requests(
    person: str, made: list[Signed], reference: dict[str, Any]
) -> list[tuple[str, str, str, dict[str, Any]]]:
    """Return the request of each eye that the core can plan."""
    found = []
    for eye, _ in EYES:
        shown = calculation.ask(plan_request(made, reference, eye))["shown"]
        if shown is not None:
            body = {"shown": shown, "digest": digest_of(shown)}
            found.append(("plan.request", person, eye, body))
    return found


def plan_request(made: list[Signed], reference: dict[str, Any], eye: str) -> dict[str, Any]:
    """Return what the core is asked about one eye of a person."""
    return {
        "do": "plan", "entries": [record.entry() for record in made], "reference": reference,
        "eye": eye, "today": clock.today(), "core": core_sha256(), "choice": None,
    }  # fmt: skip


def new_id(phone: CampPhone, number: int) -> str:
    """Return the id of a phone's next person, in the form of a version 7 UUID."""
    return f"0193a5c0-0000-7000-8000-{phone.kid[:6]}{number:06x}"


def now_text() -> str:
    """Return this moment as records write it."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%S.000Z")
