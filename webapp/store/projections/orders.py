"""Orders: one row for each, with the rule that an eye has at most one live order."""

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


LIVE_ONCE = (
    "CREATE UNIQUE INDEX order_line_live ON order_line (person, eye) WHERE live = 1 AND used = 0"
)
"""The database itself refuses a second live order for an eye (SQLite and PostgreSQL alike)."""


def find(order_id: str) -> OrderLine | None:
    """Return one order."""
    found: OrderLine | None = OrderLine.get_or_none(OrderLine.order_id == order_id)
    return found


def of_approval(approval: str) -> OrderLine | None:
    """Return the live order made from an approval."""
    return next(iter(read(OrderLine, "WHERE approval = ? AND live = 1 LIMIT 1", approval)), None)


def of_case(person: str, eye: str) -> list[OrderLine]:
    """Return the orders of an eye: the live one first, then the newest."""
    return of_people([person], eye)


def of_people(people: list[str], eye: str) -> list[OrderLine]:
    """Return the orders of an eye under any of these registrations, in the same order."""
    marks = ", ".join("?" for _ in people)
    rest = f"WHERE person IN ({marks}) AND eye = ? ORDER BY live DESC, number DESC"
    return read(OrderLine, rest, *people, eye)


def has_live(people: list[str], eye: str) -> bool:
    """Say whether an eye has a live order under any of these registrations."""
    return any(
        run(
            "SELECT 1 FROM order_line WHERE person = ? AND eye = ? AND live = 1 AND used = 0",
            person,
            eye,
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
    """Keep a new live order; the database refuses a second one for the same eye."""
    OrderLine.create(live=1, **columns)


def cancel(order_id: str) -> None:
    """Take an order's life; the eye is free again."""
    OrderLine.update(live=0).where(OrderLine.order_id == order_id).execute()


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
