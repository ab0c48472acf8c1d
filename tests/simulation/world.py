"""Where every history begins: a base, four phones, and a measured eye that waits for a plan.

Made once in a process for each kind of history; each history takes a copy.
"""

from functools import cache
from random import Random
from typing import Any, NamedTuple

from tests.simulation import base, clinic, desk, door, operated, oracle, stories, table
from tests.simulation.phone import Phone
from tests.simulation.phone_records import Ask, Task
from tests.simulation.phone_store import PhoneStore

FIRST_KEY = 1
SHA256_HEX = 64


class Beginning(NamedTuple):
    """The bytes of the base, what each phone holds, and whom it is about."""

    database: bytes
    stores: list[PhoneStore]
    saved: list[set[str]]
    people: list[str]


def phones(story: str) -> list[Phone]:
    """Return the phones of a kind of history, empty."""
    return [
        Phone(name, role, list(sites), base.signing_key(FIRST_KEY + place))
        for place, (name, role, sites) in enumerate(stories.OWNERS[story])
    ]


@cache
def beginning(story: str) -> Beginning:
    """Make the first day: one person measured and sent, and everybody has heard of it."""
    base.Now.seconds = 0.0
    base.begin()
    made = phones(story)
    for phone in made:
        base.enrol(phone.name, phone.key)
        finish(phone, phone.exchange())
    rng = Random(0)  # noqa: S311 - a history is drawn, not a secret
    people = []
    for phone, changed in stories.MEASURED[story]:
        people.append(clinic.person_id(rng))
        measure(made[phone], clinic.registration(people[-1], **changed))
    _exchange(made)
    for place, person in zip(stories.APPROVED.get(story, []), people, strict=False):
        order_for(made[place], person, rng)
        _exchange(made)
        if story in stories.BOXED:
            bring_lens(person)
            _exchange(made)
            check_in_theatre(made[-1], person, rng)
            _exchange(made)
    return Beginning(base.copy(), [one.store for one in made], [p.saved for p in made], people)


def _exchange(made: list[Phone]) -> None:
    for phone in made:
        finish(phone, phone.exchange())


def order_for(phone: Phone, person: str, rng: Random) -> None:
    """Approve a lens for somebody and order it."""
    approved = clinic.approval(rng, phone, person)
    if approved is None:
        raise RuntimeError("the eye that every history begins with cannot be approved")
    finish(phone, phone.keep(approved))
    finish(phone, phone.exchange())
    [approval] = oracle.approvals(person)
    if len(said := desk.place_order(person, clinic.EYE, approval)) != SHA256_HEX:
        raise RuntimeError(f"the lens of a history cannot be ordered: {said}")


def bring_lens(person: str) -> None:
    """Let the ordered lens arrive, and check its box at the desk."""
    for order in oracle.Case(person, clinic.EYE).live_orders():
        if said := desk.arrive(order) or desk.hold_box(order, operated.SERIALS[0], right=True):
            raise RuntimeError(f"the box of a history cannot be checked: {said}")


def check_in_theatre(phone: Phone, person: str, rng: Random) -> None:
    """Let the first of two people check the lens in theatre."""
    if (said := table.check(rng, phone, person)) is None:
        raise RuntimeError("the box of a history has not come to the tablet")
    finish(phone, phone.keep(said))
    finish(phone, phone.exchange())


def measure(phone: Phone, registration: dict[str, Any]) -> None:
    """Register somebody, measure their eye and ask for a plan."""
    person = registration["person"]
    for said in [registration, *clinic.whole_eye(person)]:
        finish(phone, phone.keep(said))
    asked = clinic.request(phone, person)
    if asked is None:
        raise RuntimeError("the eye that every history begins with cannot be planned")
    finish(phone, phone.keep(asked))


def finish(phone: Phone, task: Task) -> None:
    """Run a task to its end on a network without faults."""
    answer = None
    try:
        while True:
            step = task.send(answer)
            answer = (
                door.answer(phone.name, step.what, step.asked) if isinstance(step, Ask) else None
            )
    except StopIteration:
        return
