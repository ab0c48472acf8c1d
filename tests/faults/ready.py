"""What the kills need: phones with signed records, and approved eyes that wait for their order."""

import hashlib
import json
from typing import Any, NamedTuple

from tests.bench import camp_records, hospital
from tests.bench.camp_records import Signed
from tests.hospital import Phone, person_body

SITE = "saltpan"
BATCH = 10
"""A few records a request: the smaller, the more requests a kill can fall into."""


class Batch(NamedTuple):
    """One request's body and the ids in it."""

    body: bytes
    ids: list[str]


class Approved(NamedTuple):
    """An eye whose approval may be ordered from."""

    person: str
    eye: str
    approval: str


class Ready(NamedTuple):
    """What is sent, batch by batch in chain order, and what may be ordered."""

    batches: list[Batch]
    approved: list[Approved]


def ready(reference: dict[str, Any], records: int, eyes: int) -> Ready:
    """Return signed records to push, and approved eyes that the open database holds already."""
    made = camp_records.records(hospital.enrolled("ambler", SITE), reference, records)
    batches = [batch_of(made[at : at + BATCH]) for at in range(0, len(made), BATCH)]
    return Ready(batches, approved(eyes))


def batch_of(made: list[Signed]) -> Batch:
    """Return records as one request."""
    body = json.dumps({"records": [one.envelope() for one in made]}).encode()
    return Batch(body, [one.id for one in made])


def words_of(number: int) -> str:
    """Return a word that no other number shares and that sounds like none of theirs."""
    syllables = ("ba", "do", "ki", "lu", "me", "no", "pi", "ru", "sa", "ta", "vo", "ze", "fa", "gu")
    digest = hashlib.sha256(str(number).encode()).digest()
    return "".join(syllables[byte % len(syllables)] for byte in digest[:5]).capitalize()


def approved(eyes: int) -> list[Approved]:
    """Measure and approve eyes through the server's own code."""
    measurer = Phone(hospital.actor_named("ambler"), "optometrist", SITE)
    surgeon = Phone(hospital.actor_named("verrill"), "surgeon", SITE)
    found: list[Approved] = []
    while len(found) < eyes:
        # Nobody may be strikingly like another: an order then waits for an answer about it.
        number = len(found)
        person = f"0193a5c0-0000-7000-8000-{number:012x}"
        told = {
            "name": f"{words_of(number)} {words_of(-number - 1)}",
            "village": words_of(number * 7 + 1_000_000),
            "birth_year": 1980 + number % 20,
            "camp_code": f"K-{number:04d}",
            "phone": None,
        }
        measurer.keep("person.registered", person, None, person_body(**told))
        measurer.measure(person, "R")
        request = measurer.send_for_plan(person, "R")
        found.append(Approved(person, "R", surgeon.approve(person, "R", request)))
    return found
