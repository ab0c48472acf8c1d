"""What may happen next: people's work, the desk's, and everything that breaks."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from tests.simulation import (
    away,
    base,
    checks,
    clinic,
    desk,
    door,
    eyes,
    joins,
    operated,
    oracle,
    stories,
)
from tests.simulation.phone import Phone
from tests.simulation.phone_store import PhoneStore
from tests.simulation.stories import Weights
from webapp.flow.refusal import Refused

if TYPE_CHECKING:
    from tests.simulation.history import History

MOST_COPIES = 4


def act(history: "History") -> None:
    """Let one thing happen."""
    rng = history.rng
    name = rng.choices(Weights._fields, stories.WEIGHTS[history.plan.story])[0]
    phone = rng.choice(history.phones)
    history.note(name, phone.kid)
    ACTIONS[name](history, phone)


def _exchange(history: "History", phone: Phone) -> None:
    everybody = history.plan.story in stories.ALL_EXCHANGE
    for one in history.phones if everybody else [phone]:
        history.exchange(one)


def _write(history: "History", phone: Phone) -> None:
    """Let the phone's owner write one record, in one or two tabs at once."""
    known = [one for one in history.people if clinic.of_kind(phone, one, "person.registered")]
    person = history.rng.choice(known or history.people[:1])
    if away.is_away(phone, person):
        # The person's page offers to fetch them, and nothing else.
        history.count("nothing_written_of_who_is_away")
        return
    said = _said(history, phone, person)
    if said is None and history.plan.story in stories.IN_TURN:
        phone, said = _next_to_write(history, phone, person)
    if said is None:
        return
    history.start(phone, phone.keep(stories.in_its_camp(history, phone, said)))
    if known and stories.may_measure(history, phone) and history.rng.random() < 0.15:
        history.count("two_tabs_write")
        twin = clinic.reading(history.rng, person)
        history.start(phone, phone.keep(stories.in_its_camp(history, phone, twin)))


def _next_to_write(
    history: "History", phone: Phone, person: str
) -> tuple[Phone, dict[str, Any] | None]:  # fmt: skip
    """Return who has something to write where this phone's owner has nothing, and what."""
    for other in [one for one in history.phones if one is not phone]:
        if said := stories.said(history, other, person):
            return other, said
    return phone, None


def _said(history: "History", phone: Phone, person: str) -> dict[str, Any] | None:
    rng = history.rng
    said = stories.said(history, phone, person)
    if said is not None and len(phone.sites) > 1 and rng.random() < 0.1:
        # A chain that runs across two camps; about somebody new, since people belong to one camp.
        return {**stories.registration(history), "site": phone.sites[1]}
    return said


def _order(history: "History", phone: Phone) -> None:
    for person in stories.ordered_for(history):
        eyes.order(history, person)


def _cancel(history: "History", phone: Phone) -> None:
    people = stories.ordered_for(history)
    cases = [oracle.Case(person, clinic.EYE) for person in people]
    for order_id in sorted({one for case in cases for one in case.live_orders()}):
        history.count("cancelled" if not desk.cancel_order(order_id) else "not_cancelled")


def _crash(history: "History", phone: Phone) -> None:
    history.crash(phone)


def _evict(history: "History", phone: Phone) -> None:
    """The browser threw everything away; the owner signs in again and gets another key."""
    history.crash(phone)
    gone = set(phone.store.records)
    phone.store = PhoneStore()
    phone.renounced.clear()
    history.forget_lost(gone, [one.store for one in history.phones])
    _new_key(history, phone)
    history.count("evictions")


def _new_key(history: "History", phone: Phone) -> None:
    phone.use_key(history.new_key())
    base.enrol(phone.name, phone.key)


def _copy(history: "History", phone: Phone) -> None:
    history.copies = [*history.copies[-MOST_COPIES + 1 :], (base.Now.seconds, base.copy())]


def _restore(history: "History", phone: Phone) -> None:
    """The base's disk failed; an older copy is put back."""
    oldest = base.Now.seconds - stories.COPY_AGE_S.get(history.plan.story, base.Now.seconds)
    usable = [copy for made, copy in history.copies if made >= oldest]
    if not usable:
        return
    before = checks.at_base()
    base.restore(history.rng.choice(usable), history.new_key())
    # A copy of the life before must not come back with its epoch.
    history.copies = [(base.Now.seconds, base.copy())]
    history.forget_lost(before - checks.at_base(), [one.store for one in history.phones])
    history.count("restores")


def _revoke(history: "History", phone: Phone) -> None:
    """The phone was reported stolen; its owner got it back and enrols it anew."""
    base.revoke(phone.kid)
    history.revoked.add(phone.kid)
    history.crash(phone)
    _new_key(history, phone)
    phone.store.next_key = phone.store.given_up = None
    phone.renounced.clear()
    history.count("revocations")


def _renew(history: "History", phone: Phone) -> None:
    """The owner gives the key up for a new one; killed anywhere, the next try goes on."""
    if any(
        one.phone is phone and one.task is not None and one.task.__name__ == "renew"
        for one in history.under_way
    ):
        return
    history.start(phone, phone.renew(history.new_key()))


def _forge(history: "History", phone: Phone) -> None:
    """Somebody hands in a record with another's signature, or with a byte of it changed."""
    rows = sorted(phone.store.records.values(), key=lambda row: (row.kid, row.seq))
    if len(rows) < 2:
        return
    one, other = history.rng.sample(rows, 2)
    forged = {**one.envelope, "sig": other.envelope["sig"]}
    answer = door.answer(phone.name, "push", {"records": [forged]})
    result, code = answer["receipts"][0]["result"], answer["receipts"][0]["code"]
    history.count("forgeries")
    if (result, code) != ("refused", "signature.bad"):
        history.fail(f"a forged record was taken: {result} {code}")


def _declare(history: "History", phone: Phone) -> None:
    """The administrator declares lost what records wait for, perhaps too soon."""
    history.count("gaps_declared", declare_gaps(history))


def _decide(history: "History", phone: Phone) -> None:
    """A surgeon decides about one record that is kept apart."""
    rows = [row for row in checks.apart() if row.code != "chain.gap"]
    if rows:
        row = history.rng.choice(sorted(rows, key=lambda row: (row.kid, row.seq)))
        decision = history.rng.choice(("adopt", "adopt", "leave"))
        why = desk.decide_apart(row.id, decision)
        history.count(f"decided:{decision}:{why}")


def declare_gaps(history: "History") -> int:
    """Let the administrator declare lost what waiting records wait for; return how many chains."""
    try:
        return desk.declare_gaps()
    except Refused as refusal:
        history.fail(f"S5 records wait behind a gap that is none: {refusal.code}")
        return 0


def on_the_way(history: "History", records: list[dict[str, str]]) -> list[dict[str, str]]:
    """Return what arrives of a batch: sometimes out of order, or without its beginning."""
    if history.quiet or len(records) < 2 or history.rng.random() > 0.08:
        return records
    history.count("out_of_order")
    if history.rng.random() < 0.5:
        return records[history.rng.randrange(1, len(records)) :]
    return history.rng.sample(records, len(records))


def sort_out(history: "History", phone: Phone) -> None:
    """Let the owner have what was refused sent once more, as the page offers.

    What rests on something that was not there needs nobody: it has to come in by itself.
    """
    for name, (state, code) in list(phone.store.outbox.items()):
        if state == "refused" and not str(code).endswith(".unknown"):
            phone.store.try_again(name)


ACTIONS: dict[str, Callable[["History", Phone], None]] = {
    "exchange": _exchange,
    "write": _write,
    "order": _order,
    "cancel": _cancel,
    "crash": _crash,
    "evict": _evict,
    "copy": _copy,
    "restore": _restore,
    "revoke": _revoke,
    "forge": _forge,
    "renew": _renew,
    "declare": _declare,
    "decide": _decide,
    "join": joins.join,
    "separate": joins.separate,
    "put_off": away.put_off,
    "fetch": away.fetch,
    "box": operated.hold_box,
    "answer": operated.answer,
    "cancel_late": operated.cancel,
}
"""Name -> what happens; ``stories`` says how often."""
