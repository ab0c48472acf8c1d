"""Several orders at once: what can be ordered now, each placed alone, each with its own answer."""

from typing import Any, NamedTuple

from webapp.flow import accounts, joined, kept_folds, order, order_conditions, worklist
from webapp.flow.actor import Actor
from webapp.flow.order_conditions import Condition
from webapp.flow.refusal import NotFound, Refused
from webapp.store.projections import cases, orders

MOST = 100
"""Eyes or orders handed in at once."""
SHOWN = 30
"""Eyes of one state on the page: the longest-waiting are worked off first."""
AT_SUPPLIER = ("ordered", "confirmed")


class Ready(NamedTuple):
    """An approved eye with what stands in the way of its order, if anything."""

    person: str
    eye: str
    name: str
    camp_code: str
    site_title: str
    lens: dict[str, Any]
    backup: dict[str, Any] | None
    """The back-up lens that is ordered with it, None for none."""
    approval: str
    digest: str
    fails: tuple[Condition, ...]


class Asked(NamedTuple):
    """One eye that is to be ordered, by the approval that was read."""

    person: str
    eye: str
    approval: str


class Answer(NamedTuple):
    """What came of one eye: the order, or why there is none."""

    asked: Asked
    name: str
    """Of the person, where the one who asked may read it."""
    order_id: str | None
    refusal: Refused | None


class Open(NamedTuple):
    """An order that waits at the supplier."""

    order_id: str
    person: str
    eye: str
    name: str
    camp_code: str
    site_title: str
    number: str
    lens: dict[str, Any]
    words: str
    overdue: str


def ready(actor: Actor) -> list[Ready]:
    """Return the approved eyes of this person's sites, the longest-waiting first."""
    found = []
    rows = worklist.rows(actor, "approved", limit=SHOWN)
    folds = kept_folds.current_folds({row.person for row in rows})
    for row in rows:
        fold = folds[row.person]
        approval = fold["eyes"][row.eye]["approval"]
        if approval is None:  # Taken back since the rows were read.
            continue
        entries = joined.entries_of(row.person)
        conditions = order_conditions.all_of(fold, entries, row.eye)
        fails = tuple(one for one in conditions if not one.ok)
        found.append(
            Ready(
                row.person, row.eye, row.name, row.camp_code, row.site_title,
                approval["shown"]["lens"], approval["backup"], approval["id"], approval["digest"],
                fails,
            )
        )  # fmt: skip
    return found


def left_out(actor: Actor) -> tuple[int, int]:
    """Return how many approved eyes, and how many at the supplier, are not on the page."""
    counts = worklist.counts(actor)
    over = {state: max(0, counts[state] - SHOWN) for state in ("approved", *AT_SUPPLIER)}
    return over["approved"], sum(over[state] for state in AT_SUPPLIER)


def place_each(actor: Actor, asked: list[Asked], passphrase: str) -> list[Answer]:
    """Order these eyes one after the other; one that cannot be ordered stops no other.

    Raises:
        Refused: the passphrase is wrong; nothing was ordered.
    """
    accounts.confirm(actor, passphrase)
    return [_placed(actor, one) for one in asked]


def _placed(actor: Actor, asked: Asked) -> Answer:
    try:
        order_id = order.place_signed_for(actor, *asked)
    except NotFound as refusal:
        return Answer(asked, "", None, refusal)
    except Refused as refusal:
        return Answer(asked, _name(asked), None, refusal)
    return Answer(asked, _name(asked), order_id, None)


def _name(asked: Asked) -> str:
    row = cases.find(asked.person)
    return str(row.name) if row else ""


def _both(eye: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the orders of an eye that stand: of the chosen lens, and of its back-up."""
    if eye["backup"] is not None:
        return [eye["backup"]["chosen"], eye["backup"]["order"]]
    return [] if eye["order"] is None else [eye["order"]]


def open_orders(actor: Actor) -> list[Open]:
    """Return the orders that wait at the supplier, the longest-waiting first."""
    found = []
    for state in AT_SUPPLIER:
        rows = worklist.rows(actor, state, limit=SHOWN)
        folds = kept_folds.current_folds({row.person for row in rows})
        for row in rows:
            eye = folds[row.person]["eyes"][row.eye]
            late = eye["overdue"]
            found += [
                Open(
                    one["id"], row.person, row.eye, row.name, row.camp_code, row.site_title,
                    one["number"], one["lens"],
                    ("Back-up lens. " if one["backup_of"] else "") + one["progress"]["words"],
                    late["text"] if late and late["order"] == one["id"] else "",
                )
                for one in _both(eye)
            ]  # fmt: skip
    numbers = orders.numbers_of({one.order_id for one in found})
    return sorted(found, key=lambda one: numbers.get(one.order_id, 0))
