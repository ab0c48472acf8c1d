"""A lens that came: its box at the desk, its check in theatre, its surgery, what was read after it.

As in ``oracle``, the promises are read from the stored records alone. Those of lenses, boxes and
readings are judged by the oracles of the approval machine, which share no code with the fold.
"""

from typing import TYPE_CHECKING, Any

from tests.approval_machine import oracle as records_oracle
from tests.approval_machine import oracle_lenses, oracle_theatre
from tests.approval_machine.oracle_lenses import Lens
from tests.simulation import base, desk, eyes, oracle, stories, table, urgent_first
from tests.simulation.clinic import EYE
from tests.simulation.urgent_first import cannot_wait
from webapp.flow import kept_apart, urgent, urgent_apart
from webapp.store import database

if TYPE_CHECKING:
    from tests.simulation.history import History
    from tests.simulation.phone import Phone
    from tests.simulation.phone_records import Task

Records = dict[str, dict[str, Any]]
SERIALS = ("SER9", "SER8")
NOT_TO_BE, UNANSWERED = "theatre.not_to_be", "theatre.unanswered"


def hold_box(history: "History", phone: "Phone") -> None:
    """Let the desk hold a box against the order that stands, the right one as a rule."""
    rng = history.rng
    serial, right = rng.choice((*SERIALS[:1] * 3, SERIALS[1])), rng.random() < 0.7
    for order in oracle.Case(history.people[0], EYE).live_orders():
        desk.arrive(order)
        history.count(f"box:{desk.hold_box(order, serial, right)}")
        records = oracle.Case(history.people[0], EYE).records
        eye = base.fold(eyes.stored(history.people[:1]))["eyes"][EYE]
        _theatre(history, records, eye["theatre"])


def answer(history: "History", phone: "Phone") -> None:
    """Let a surgeon at the base answer what cannot wait."""
    person = history.people[0]
    eye = base.fold(eyes.stored([person]))["eyes"][EYE]
    waiting = [one["reading"] for one in eye["urgent"] if one["open"]]
    if waiting:
        history.count(f"urgent_answered:{desk.answer_urgent(person, EYE, waiting)}")


def cancel(history: "History", phone: "Phone") -> None:
    """Let the desk cancel a lens that came, with the supplier's answer or without it."""
    for order in oracle.Case(history.people[0], EYE).live_orders():
        reply = history.rng.choice(("Taken back", None))
        history.count(f"cancelled_late:{desk.cancel_order(order, reply)}")


def sent(
    history: "History", phone: "Phone", task: "Task", records: list[dict[str, str]]
) -> None:  # fmt: skip
    """H37: what cannot wait is not sent behind another chain of its phone."""
    if history.plan.story != stories.OPERATED:
        return
    held = phone.store.records
    names = [base.open_row(one)[0] for one in records]
    batch = [held[name] for name in names if name in held]
    first = urgent_first.silent(phone.store)
    # What was kept while this batch was chosen is in the next one of the same exchange.
    known = history.silent.get(task, set()) - history.offered
    history.count("urgent_sent_first", int(bool(first) and len({row.kid for row in batch}) > 1))
    if urgent_first.is_late(first, known, batch):
        history.fail("H37 a reading that cannot wait is sent behind others")
    history.silent[task] = {row.id for row in first}
    history.offered |= set(names)


def promises(history: "History") -> None:
    """I19 to I22 and H37, wherever a lens was implanted."""
    if not _anything():
        return
    for person in history.people:
        records = oracle.Case(person, EYE).records
        if any(one["kind"].startswith(FAMILIES) for one in records.values()):
            _of_eye(history, person, records)
    _apart(history)


FAMILIES = ("label.", "theatre.", "surgery.", "followup.")


def _anything() -> bool:
    made = "SELECT 1 FROM journal WHERE kind = 'label.checked' LIMIT 1"
    return bool(database.run(made))


def _of_eye(history: "History", person: str, records: Records) -> None:
    eye = base.fold(eyes.stored([person]))["eyes"][EYE]
    for broken in oracle_lenses.wrong_with_surgeries(records):
        history.fail(f"a surgery that must not be: {broken}")
    lenses = oracle_lenses.lenses(records, EYE)
    told = {one["id"]: one for one in eye["surgeries"]}
    if told.keys() != {lens.surgery for lens in lenses}:
        history.fail("the fold shows other surgeries than the records")
    for lens in lenses:
        _of_lens(history, records, lens, eye, told.get(lens.surgery))
    _theatre(history, records, eye["theatre"])
    _urgent(history, person, records, eye["urgent"])


def _of_lens(
    history: "History", records: Records, lens: Lens, eye: dict[str, Any],
    told: dict[str, Any] | None,
) -> None:  # fmt: skip
    """I21: what stands behind a lens, or that it is said; I22: what was read with it."""
    surgery = records[lens.surgery]
    is_checked = oracle_lenses.is_checked(records, surgery)
    history.count("implanted_as_checked" if is_checked else "implanted_unchecked")
    if told is None:
        return
    if told["unchecked"] is None and not is_checked:
        history.fail("I21 no check stands behind a surgery, and it is not said")
    if {one["id"] for one in told["followups"]} != oracle_lenses.readings_of(records, EYE, lens):
        history.fail("I22 a lens with readings of another one, or without its own")
    is_dead = _is_dead(records, _order_of(records, surgery["body"]), surgery["body"]["operated"])
    history.count("implanted_of_a_dead_order", int(is_dead))
    if is_dead != _is_said(eye, NOT_TO_BE, lens):
        history.fail("I1 the lens of a dead order was implanted, and it is not said")
    is_late = not is_dead and _was_late(records, surgery["body"])
    history.count("implanted_unanswered", int(is_late))
    if not is_dead and is_late != _is_said(eye, UNANSWERED, lens):
        history.fail("H23 a lens was implanted while something was unanswered, and it is not said")


def _is_said(eye: dict[str, Any], code: str, lens: Lens) -> bool:
    return any(one["code"] == code and lens.surgery in one["records"] for one in eye["findings"])


def _was_late(records: Records, surgery: dict[str, Any]) -> bool:
    """Return whether something recorded by the day of surgery waited for a surgeon's answer."""
    if surgery["order"] not in records:
        return False
    late = records_oracle.late_records(records, surgery["order"])
    return any(records[name]["wall"][:10] <= surgery["operated"] for name in late)


def _order_of(records: Records, surgery: dict[str, Any]) -> str | None:
    """Return the order of a lens: as its surgery says, else by the serial number of its box."""
    boxes = {
        _letters(one["body"]["first"]["serial"]): one["body"]["order"]
        for one in records_oracle.live(records, "label.checked").values()
        if one["body"]["outcome"] == "agrees"
    }
    named: str | None = surgery["order"]
    return named or boxes.get(_letters(surgery["serial"] or ""))


def _letters(serial: str) -> str:
    return serial.replace(" ", "").upper()


def _is_dead(records: Records, order: str | None, day: str) -> bool:
    """Return whether an order was cancelled, or a surgeon answered that its lens is not wanted.

    An answer that was taken back by the day of surgery, ``day``, is none.
    """
    late = {name: one for name, one in records.items() if one["kind"] == "late.answered"}
    stood = records_oracle.live(records, "late.answered").keys() | {
        one["body"]["target"]
        for one in records.values()
        if one["kind"] in ("plan.withdrawal", "record.void") and one["wall"][:10] > day
    }
    if any(
        one["kind"] == "order.cancelled" and one["body"]["order"] == order
        for one in records.values()
    ):
        return True
    return any(
        one["role"] == "surgeon" and one["body"]["order"] == order
        and one["body"]["answer"] != "keep" and name in stood
        for name, one in late.items()
    )  # fmt: skip


def _theatre(history: "History", records: Records, theatre: dict[str, Any] | None) -> None:
    """I16, I19, I21: what is ready was released by two people, and what counts checked by two."""
    if theatre is None or not theatre["ready"]:
        return
    history.count("ready_for_theatre")
    for broken in oracle_theatre.wrong_with_box(records, theatre["label"], EYE):
        history.fail(f"a box that must not be released: {broken}")
    if theatre["confirmed"]:
        history.count("checked_by_two")
        pair = (theatre["check"]["id"], theatre["confirmed"]["id"])
        for broken in oracle_theatre.wrong_with_check(records, theatre["label"], *pair):
            history.fail(f"a check that must not count: {broken}")


def _urgent(history: "History", person: str, records: Records, told: list[dict[str, Any]]) -> None:
    """H37: a stored reading that cannot wait is on the list until somebody answered it."""
    answered = {
        name
        for one in records_oracle.live(records, "urgent.answered").values()
        for name in one["body"]["readings"]
    }
    wanted = {
        name for name, one in records.items()
        if cannot_wait(one) and not records_oracle.out(records, name)
    }  # fmt: skip
    waiting = {one["reading"] for one in told if one["open"]}
    history.count("urgent_waits", len(waiting))
    history.count("urgent_and_answered", len(wanted & answered))
    if wanted - answered - waiting:
        history.fail("H37 a reading that cannot wait is answered by nobody and on no list")
    if waiting - wanted:
        history.fail("H37 what was withdrawn or is harmless is called urgent")
    listed = {
        item["reading"] for each in urgent.waiting(base.actor("marsh"))
        if each.person == person for item in each.items
    }  # fmt: skip
    if listed != waiting:
        history.fail("H37 the list of the base is not that of the fold")


def _apart(history: "History") -> None:
    """H37: what cannot wait and was kept apart is listed too, where its surgery ever came."""
    surgeon = base.actor("marsh")
    apart = {
        one.id: one for one in kept_apart.listing(surgeon, "followup.")
        if one.whole and one.decision is None and cannot_wait(one.payload)
    }  # fmt: skip
    here = {entry.id for entry in base.log() if entry.kind == table.SURGERY}
    wanted = {name for name, one in apart.items() if one.payload["body"]["implant"] in here}
    history.count("urgent_apart", len(wanted))
    if wanted != {one.record for one in urgent_apart.waiting(surgeon)}:
        history.fail("H37 a reading that cannot wait was kept apart, and is on no list")
