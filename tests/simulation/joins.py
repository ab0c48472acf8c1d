"""Two registrations of one person: joined at the desk, separated again, and what must hold then.

As in ``oracle``, the promises are read from the stored records alone.
"""

from typing import TYPE_CHECKING, Any

from tests.simulation import base, clinic, desk, eyes, oracle, remembered
from webapp.store import database

if TYPE_CHECKING:
    from tests.simulation.history import History
    from tests.simulation.phone import Phone

Payload = dict[str, Any]
SEPARATE = (("hale", "fenn"), ("fenn", "hale"), ("fenn", "fenn"))
"""Who proposes and who confirms; the last of these the base must refuse."""


def join(history: "History", phone: "Phone") -> None:
    """Let somebody at the desk join the two, whether or not it is allowed now."""
    one, other = history.people[:2]
    if history.rng.random() < 0.3:
        history.made.add(desk.judge("hale", one, other))
    live = [order for half in (one, other) for order in _live_orders(half)]
    code = desk.join(history.rng.choice(("fenn", "hale")), one, other)
    history.note("join", code)
    history.count(f"join:{code}")
    if code:
        return
    if len(set(live)) > 1:
        history.fail("I17 a joining joined two live orders")
    if oracle.registrations(one) != sorted((one, other)):
        history.fail("a joining left two registrations apart")


def _live_orders(person: str) -> list[str]:
    return oracle.Case(person, clinic.EYE).live_orders()


def separate(history: "History", phone: "Phone") -> None:
    """Let two people at the desk separate them again; at times one person alone tries."""
    standing = oracle.joinings()
    if not standing:
        return
    proposes, confirms = history.rng.choice(SEPARATE)
    record = sorted(standing, key=lambda name: standing[name]["seq"])[0]
    code = desk.separate(record, proposes, confirms)
    history.note("separate", code)
    history.count(f"separate:{code}")
    if code:
        return
    for half in history.people[:2]:
        if oracle.registrations(half) != [half]:
            history.fail("a separation left two registrations joined")
        rows = eyes.stored([half])
        if _is_untouched(rows) and _eye(rows) != _eye(_without(rows)):
            history.fail("a separation did not leave each half as it was before the joining")
        history.count("separated_as_before", int(_is_untouched(rows)))


Rows = list[tuple[str, Payload, int | None]]


def _is_untouched(rows: Rows) -> bool:
    """Say whether nothing was planned or decided while the two were one."""
    here = {row[0] for row in _without(rows)}
    shown = [row[1]["body"].get("shown", {}).get("evidence", []) for row in rows]
    return all(set(evidence) <= here for evidence in shown)


def _without(rows: Rows) -> Rows:
    return [row for row in rows if row[1]["kind"] not in ("person.merged", "person.split")]


def _eye(rows: Rows) -> Payload:
    """Return an eye without its timeline, which tells of what was joined and separated."""
    eye: Payload = base.fold(rows)["eyes"][clinic.EYE]
    return {name: eye[name] for name in eye if name != "timeline"}


def promises(history: "History") -> None:
    """Two people say that it is one person, and two that it is not, whatever came when."""
    said = _of_kinds("person.merged", "person.split", "person.compared")
    for payload in said.values():
        if payload["kind"] == "person.merged":
            _judged(history, payload, said.get(payload["body"]["compared"]))
        elif payload["kind"] == "person.split" and payload["author"] == payload["body"].get(
            "proposed_by"
        ):
            history.fail("one person alone separated two registrations")


def _judged(history: "History", payload: Payload, compared: Payload | None) -> None:
    pair = {payload["person"], payload["body"]["other"]}
    if compared is None:
        history.fail("a joining rests on a judgement that is not there")
        return
    if compared["body"]["answer"] != "same" or pair != {
        compared["person"], compared["body"]["other"]
    }:  # fmt: skip
        history.fail("a joining rests on a judgement of something else")
    if compared["author"] == payload["author"]:
        history.fail("one person alone joined two registrations")


def _of_kinds(*kinds: str) -> dict[str, Payload]:
    marks = ", ".join("?" for _ in kinds)
    rows = database.run(f"SELECT id, payload FROM journal WHERE kind IN ({marks})", *kinds)  # noqa: S608 - marks
    return {row[0]: remembered.payload_of(bytes(row[1])) for row in rows}
