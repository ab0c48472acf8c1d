"""The promises about orders, judged from the stored records alone and without the server's code.

Written against the promises themselves, record by record, so that a fault in the fold or in the
conditions of an order does not hide behind the same fault here.
"""

import json
from typing import Any

from tests.simulation import remembered
from webapp.store import database, journal

Payload = dict[str, Any]
NOT_EVIDENCE = ("reading.unread",)


def approvals(person: str) -> list[str]:
    """Return the ids of every stored approval of a person, in order of arrival."""
    entries = [one for half in registrations(person) for one in journal.entries_of_person(half)]
    return [entry.id for entry in entries if entry.kind == "plan.approval"]


def joinings() -> dict[str, Payload]:
    """Return the stored joinings that no separation names, by id."""
    of_both = "SELECT id, payload FROM journal WHERE kind IN ('person.merged', 'person.split')"
    said = {row[0]: remembered.payload_of(bytes(row[1])) for row in database.run(of_both)}
    ended = {one["body"].get("target") for one in said.values()}
    merged = {name: one for name, one in said.items() if one["kind"] == "person.merged"}
    return {name: one for name, one in merged.items() if name not in ended}


def registrations(person: str) -> list[str]:
    """Return a registration and all it is joined with: one record of the two is enough."""
    pairs = [{one["person"], one["body"]["other"]} for one in joinings().values()]
    found, before = {person}, 0
    while len(found) > before:
        before = len(found)
        found = found.union(*(pair for pair in pairs if pair & found))
    return sorted(found)


class Case:
    """The stored records of one eye at one moment, under each registration of its person."""

    def __init__(self, person: str, eye: str) -> None:
        self.eye = eye
        self.read(person)

    def read(self, person: str) -> None:
        """Read the records."""
        self.kids: dict[str, str] = {}
        self.records: dict[str, Payload] = {}
        self.person, self.people = person, registrations(person)
        for entry in [one for half in self.people for one in journal.entries_of_person(half)]:
            self.records[entry.id] = remembered.payload_of(entry.payload)
            self.kids[entry.id] = entry.kid
        self.orders = self.of("order.placed")

    def of(self, kind: str) -> list[str]:
        """Return ids of this eye's records of a kind."""
        return [
            name
            for name, payload in self.records.items()
            if payload["kind"] == kind and payload["eye"] == self.eye
        ]

    def body(self, name: str) -> Payload:
        """Return a record's body."""
        body: Payload = self.records[name]["body"]
        return body

    def live_orders(self) -> list[str]:
        """Return orders that nothing cancelled, and whose lens no standing surgery implanted."""
        ended = {self.body(one)["order"] for one in self.of("order.cancelled")}
        done = self.of("surgery.implanted")
        if done:
            out = self.out()
            ended |= {self.body(one)["order"] for one in done if one not in out}
        return [one for one in self.orders if one not in ended]

    def out(self) -> set[str]:
        """Return ids of records that their own author withdrew or that were corrected."""
        found = set()
        for payload in self.records.values():
            target = payload["replaces"] or payload["body"].get("target")
            earlier = self.records.get(target or "")
            if earlier is None:
                continue
            shared = earlier["kind"].startswith(("person.", "history."))
            undone = payload["kind"] == "person.split"
            own = earlier["author"] == payload["author"]
            if own or undone or (payload["replaces"] and shared):
                found.add(str(target))
        return found

    def set_aside(self) -> set[str]:
        """Return ids of decisions that a third surgeon's settlement names and does not keep."""
        out, found = self.out(), set[str]()
        for name in self.of("decision.settled"):
            named = self.body(name)["decisions"]
            givers = {self.records[one]["author"] for one in named if one in self.records}
            if name not in out and self.records[name]["author"] not in givers:
                found |= set(named) - {self.body(name)["kept"]}
        return found

    def unanswered(self, order: str) -> set[str]:
        """Return ids of readings that came after an order and that no surgeon's answer names."""
        ordered_on = self.body(self.body(order)["approval"])["shown"]["evidence"]
        return self.bound_now() - set(ordered_on) - self._answered(order)

    def _answered(self, order: str) -> set[str]:
        out, found = self.out(), set[str]()
        for name in self.of("late.answered"):
            body, author = self.body(name), self.records[name]["author"]
            own = {one for one in body["seen"] if self.records.get(one, {}).get("author") == author}
            if (
                body["order"] == order
                and name not in out
                and not (own and body["answer"] == "keep")
            ):
                found |= set(body["seen"])
        return found

    def bound_now(self) -> set[str]:
        """Return what a plan of this eye rests on: live facts and live readings of the eye."""
        out = self.out()
        return {
            name
            for name, payload in self.records.items()
            if name not in out
            and (
                payload["kind"].startswith(("person.registered", "person.merged", "history."))
                or (
                    payload["kind"].startswith("reading.")
                    and payload["kind"] not in NOT_EVIDENCE
                    and payload["eye"] == self.eye
                )
            )
        }

    def valid_approvals(self, revoked: set[str]) -> list[str]:
        """Return approvals that nothing has withdrawn and that rest on exactly what stands now."""
        out, bound = self.out() | self.set_aside(), self.bound_now()
        spent = {self.body(one)["approval"] for one in self.orders}
        return [
            one
            for one in self.of("plan.approval")
            if one not in out
            and one not in spent
            and self.kids[one] not in revoked
            and self.body(one)["request"] not in out
            and set(self.body(one)["shown"]["evidence"]) == bound
        ]

    def why_not(self, approval: str, order_id: str, revoked: set[str]) -> list[str]:
        """Return the promises that an order placed on these records breaks.

        Args:
            approval: id of the approval that was ordered from.
            order_id: id of the order that was placed.
            revoked: ids of keys that were revoked before.
        """
        broken = []
        if approval not in self.records:
            return ["I1 an order without a stored approval"]
        payload, body = self.records[approval], self.body(approval)
        if self.live_orders():
            broken.append("I2 a second live order for one eye")
        broken += self._hands(payload, body)
        if self.kids[approval] in revoked:
            broken.append("I8 an order from an approval of a revoked key")
        if approval in self.out():
            broken.append("I13 an order from a withdrawn approval")
        if approval in self.set_aside():
            broken.append("I18 an order from an approval that a settlement did not keep")
        if body["request"] in self.out():
            broken.append("I1 an order for a request that was taken back")
        if set(body["shown"]["evidence"]) != self.bound_now():
            broken.append("I7, I14 an order from an approval that does not rest on what stands")
        lenses = {
            json.dumps(self.body(one)["shown"]["lens"]) for one in self.valid_approvals(revoked)
        }
        if len(lenses) > 1:
            broken.append("I9 an order while valid approvals name different lenses")
        return broken + self._questions(body) + self._line(body, order_id)

    def _hands(self, payload: Payload, body: Payload) -> list[str]:
        broken = []
        author = payload["author"]
        bound = [self.records[one] for one in self.bound_now() if one in self.records]
        asked = self.records.get(body["request"])
        measured = {one["author"] for one in bound if one["kind"].startswith("reading.")}
        if payload["role"] != "surgeon" or author in measured:
            broken.append("I3 the approver measured this eye, or is no surgeon")
        if asked is None or asked["author"] == author:
            broken.append("I3 the approver asked for the plan")
        return broken

    def _questions(self, body: Payload) -> list[str]:
        answered = {self.body(one)["question"] for one in self.of("plan.answer")}
        gone = self.out() | self.set_aside()
        declines = [one for one in self.of("plan.decline") if one not in gone]
        declined = {self.body(one)["request"] for one in declines}
        broken = []
        if body["request"] in declined:
            broken.append("I9 an order for a request that a surgeon declined")
        for one in self.of("plan.question"):
            asker = self.records[one]
            went_on = any(
                other["kind"] == "plan.approval"
                and (other["author"], other["key"]) == (asker["author"], asker["key"])
                and other["seq"] > asker["seq"]
                and other["body"]["request"] == body["request"]
                for other in self.records.values()
            )
            if self.body(one)["request"] == body["request"] and one not in answered and not went_on:
                broken.append("I1 an order while a question is open")
        return broken

    def _line(self, body: Payload, order_id: str) -> list[str]:
        self.read(self.person)
        line = self.body(order_id)
        if line["lens"] != body["shown"]["lens"] or line["digest"] != body["digest"]:
            return ["I11 the order is not the approved lens"]
        return []
