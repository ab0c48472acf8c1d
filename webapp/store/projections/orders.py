"""Orders: one row for each, with the rule that an eye has at most one live order of each kind.

The two kinds are that of the chosen lens and that of its back-up.
"""

from collections.abc import Iterable

from peewee import CharField, IntegerField, fn

from webapp.store.database import Row, read, rows_among, run


class OrderLine(Row):
    """One order; ``live`` falls to 0 when it is cancelled."""

    order_id = CharField(64, primary_key=True)
    number = IntegerField(unique=True)
    approval = CharField(64, index=True)
    person = CharField()
    eye = CharField(1)
    site = CharField()
    live = IntegerField()
    copies = IntegerField(default=0)
    supplier_reference = CharField(null=True, index=True)
    used = IntegerField(default=0)
    """1 once a surgery that stands implanted its lens: the eye may be ordered for again."""
    is_backup = IntegerField(default=0)
    """1 for the back-up of a chosen lens, 0 for the chosen one."""
    backup_of = CharField(64, null=True, index=True)
    """The order of the chosen lens that this one is the back-up of."""


LIVE_ONCE = (
    "CREATE UNIQUE INDEX order_line_live ON order_line (person, eye, is_backup) "
    "WHERE live = 1 AND used = 0"
)
"""The database itself refuses a second live order of a kind for an eye (SQLite, PostgreSQL)."""


def find(order_id: str) -> OrderLine | None:
    """Return one order."""
    found: OrderLine | None = OrderLine.get_or_none(OrderLine.order_id == order_id)
    return found


def of_approval(approval: str) -> OrderLine | None:
    """Return the live order of the chosen lens made from an approval."""
    rest = "WHERE approval = ? AND live = 1 AND is_backup = 0 LIMIT 1"
    return next(iter(read(OrderLine, rest, approval)), None)


def backup_for(order_id: str) -> OrderLine | None:
    """Return the live order of the back-up of a chosen lens, None without one."""
    return next(iter(read(OrderLine, "WHERE backup_of = ? AND live = 1 LIMIT 1", order_id)), None)


def pair_of(order_id: str) -> list[str]:
    """Return an order with that of its back-up, or with that of its chosen lens."""
    line = find(order_id)
    chosen = order_id if line is None or line.backup_of is None else str(line.backup_of)
    backups = [str(one.order_id) for one in read(OrderLine, "WHERE backup_of = ?", chosen)]
    return [chosen, *backups]


def of_case(person: str, eye: str) -> list[OrderLine]:
    """Return the orders of an eye: the live ones first, a chosen lens's first, then the newest."""
    return of_people([person], eye)


def of_people(people: list[str], eye: str) -> list[OrderLine]:
    """Return the orders of an eye under any of these registrations, in the same order."""
    marks = ", ".join("?" for _ in people)
    rest = f"WHERE person IN ({marks}) AND eye = ? ORDER BY live DESC, is_backup, number DESC"
    return read(OrderLine, rest, *people, eye)


def has_live(people: list[str], eye: str, is_backup: int = 0) -> bool:
    """Say whether an eye has a live order under any of these registrations, of the kind asked."""
    return any(
        run(
            "SELECT 1 FROM order_line WHERE person = ? AND eye = ? AND is_backup = ? "
            "AND live = 1 AND used = 0",
            person,
            eye,
            is_backup,
        )
        for person in people
    )


def numbers_of(order_ids: Iterable[str]) -> dict[str, int]:
    """Return order -> the number it got here."""
    return dict(rows_among("order_id, number", "order_line", "order_id", order_ids))


def next_number() -> int:
    """Return the number the next order gets; call inside ``writing()``."""
    return int(OrderLine.select(fn.MAX(OrderLine.number)).scalar() or 0) + 1


def place(columns: dict[str, object]) -> None:
    """Keep a new live order; the database refuses a second one of its kind for the same eye."""
    OrderLine.create(live=1, **columns)


def cancel(order_id: str) -> None:
    """Take an order's life, and its back-up's; the eye is free again."""
    named = (OrderLine.order_id == order_id) | (OrderLine.backup_of == order_id)
    OrderLine.update(live=0).where(named).execute()


def mark_used(order_id: str, is_used: bool) -> None:
    """Note whether a surgery that stands implanted the lens of an order."""
    OrderLine.update(used=1 if is_used else 0).where(OrderLine.order_id == order_id).execute()


def with_reference(supplier_reference: str) -> OrderLine | None:
    """Return an order that carries this supplier reference."""
    query = OrderLine.select().where(OrderLine.supplier_reference == supplier_reference)
    found: OrderLine | None = query.first()
    return found


def refer(order_id: str, supplier_reference: str) -> None:
    """Keep the supplier's reference; a newer one takes the place of an older one."""
    OrderLine.update(supplier_reference=supplier_reference).where(
        OrderLine.order_id == order_id
    ).execute()


def count_print(order_id: str) -> None:
    """Note one more printed copy."""
    OrderLine.update(copies=OrderLine.copies + 1).where(OrderLine.order_id == order_id).execute()
