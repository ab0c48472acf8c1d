"""An order at the supplier: what may be recorded of it at the server, and what never."""

from datetime import timedelta
from types import SimpleNamespace
from typing import Any, ClassVar

import pytest

from tests.flow.test_order import Case
from tests.hospital import WALL, Hospital, set_roles
from webapp.demo_people import PASSPHRASE
from webapp.flow import clock, desk_record, order, order_progress
from webapp.flow.actor import RoleAt
from webapp.flow.desk_record import Draft, payload_of
from webapp.flow.ledger import Ledger
from webapp.flow.refusal import NotFound, Refused
from webapp.records.draft import Link, Subject, Writer, draft
from webapp.store import journal
from webapp.store.database import writing
from webapp.store.projections import orders

TODAY = clock.today()


class Placed(Case):
    """An eye whose lens is ordered."""

    def __init__(self, hospital: Hospital) -> None:
        super().__init__(hospital)
        self.order = self.place()

    def said(self, **changed: Any) -> dict[str, Any]:  # noqa: ANN401
        """Return what a supplier confirms, just as ordered, parts changed by name."""
        lens = journal_lens(self.order)
        return {
            "reference": "R-77", "for_eye": "R", "lens": {**lens, **changed.pop("lens", {})},
            "confirmed_on": TODAY, "expected_on": None, "corrects": [], "correction": None,
            **changed,
        }  # fmt: skip

    def confirm(self, **changed: Any) -> dict[str, Any]:  # noqa: ANN401
        """Record a confirmation and return the order's progress."""
        return order_progress.confirm(self.fenn, self.order, self.said(**changed), PASSPHRASE)

    def payload(self, kind: str, body: dict[str, Any]) -> dict[str, Any]:
        """Return a record about the order as the desk would sign it next."""
        link = Link("f" * 64, 1, None)
        writer = Writer("u-fenn", "desk")
        subject = Subject(self.person, "R", "saltpan")
        return draft(kind, subject, writer, link, WALL, {"order": self.order, **body})

    def stage(self) -> str:
        """Return how far the order is."""
        return str(order_progress.progress(self.fenn, self.order)["stage"])

    def refused(self, act: Any, *words: Any, **named: Any) -> str:  # noqa: ANN401
        """Return the code with which something is refused, with nothing stored."""
        before = len(journal.entries_of_person(self.person))
        with pytest.raises(Refused) as refusal:
            act(*words, **named)
        assert len(journal.entries_of_person(self.person)) == before
        return refusal.value.code


def journal_lens(order_id: str) -> dict[str, Any]:
    """Return the lens of an order from its signed record."""
    lens: dict[str, Any] = payload_of(journal.entries_by_id([order_id])[order_id])["body"]["lens"]
    return lens


@pytest.fixture
def placed(hospital: Hospital) -> Placed:
    """Return an eye whose lens is ordered."""
    return Placed(hospital)


class TestForwards:
    """Placed, confirmed, shipped, received."""

    def test_every_step(self, placed: Placed) -> None:
        """Each record moves the order and the eye."""
        assert placed.confirm()["stage"] == "confirmed"
        assert placed.state() == "confirmed"
        order_progress.ship(placed.fenn, placed.order, TODAY, None)
        assert (placed.stage(), placed.state()) == ("shipped", "confirmed")
        order_progress.arrive(placed.fenn, placed.order, TODAY)
        assert (placed.stage(), placed.state()) == ("received", "received")

    def test_the_first_reference_becomes_the_orders(self, placed: Placed) -> None:
        """It is then the one by which the supplier is asked."""
        placed.confirm(reference="R-31")
        assert order.sheet(placed.fenn, placed.order).supplier_reference == "R-31"

    def test_never_backwards(self, placed: Placed) -> None:
        """What has arrived is not shipped, and arrives once."""
        order_progress.ship(placed.fenn, placed.order, TODAY, None)
        again = (order_progress.ship, placed.fenn, placed.order, TODAY, None)
        assert placed.refused(*again) == "order.shipped_already"
        arrived = (order_progress.arrive, placed.fenn, placed.order, TODAY)
        order_progress.arrive(*arrived[1:])
        assert placed.refused(*arrived) == "order.arrived"
        assert placed.refused(*again) == "order.arrived"

    @pytest.mark.parametrize("what", ["confirm", "ship", "arrive"])
    def test_not_after_a_cancellation(self, placed: Placed, what: str) -> None:
        """A cancelled order is confirmed by nobody."""
        order.cancel(placed.fenn, placed.order, "Moved away", PASSPHRASE)
        acts: dict[str, Any] = {
            "confirm": placed.confirm,
            "ship": lambda: order_progress.ship(placed.fenn, placed.order, TODAY, None),
            "arrive": lambda: order_progress.arrive(placed.fenn, placed.order, TODAY),
        }
        assert placed.refused(acts[what]) == "order.cancelled"

    @pytest.mark.parametrize("kind", ["order.confirmed", "order.shipped", "order.received"])
    def test_not_of_the_other_eye(self, placed: Placed, kind: str) -> None:
        """A record that names this order belongs to its eye (I16)."""
        bodies: dict[str, dict[str, Any]] = {
            "order.confirmed": placed.said(),
            "order.shipped": {"shipped_on": TODAY, "expected_on": None},
            "order.received": {"received_on": TODAY},
        }
        with pytest.raises(Refused) as refusal, writing():
            desk_record.write(
                placed.fenn,
                Draft(kind, Subject(placed.person, "L", "saltpan"), "desk",
                      {"order": placed.order, **bodies[kind]}),
            )  # fmt: skip
        assert refusal.value.code == "order.other"

    def test_not_a_day_from_before_the_order(self, placed: Placed) -> None:
        """A paper of the day before yesterday is of another order; yesterday may be a time zone."""
        now = clock.utc_now()
        before, yesterday = [(now - timedelta(days=days)).strftime("%Y-%m-%d") for days in (2, 1)]
        code = "order.before_placed"
        assert placed.refused(placed.confirm, confirmed_on=before) == code
        ship = (order_progress.ship, placed.fenn, placed.order)
        assert placed.refused(*ship, before, None) == code
        arrive = (order_progress.arrive, placed.fenn, placed.order)
        assert placed.refused(*arrive, before) == code
        assert placed.confirm(confirmed_on=yesterday)["stage"] == "confirmed"

    def test_no_day_of_arrival_that_silences_the_reminder(self, placed: Placed) -> None:
        """A lens expected in thirty years would never be late."""
        far, near = [
            (clock.utc_now() + timedelta(days=days)).strftime("%Y-%m-%d") for days in (368, 365)
        ]
        assert placed.refused(placed.confirm, expected_on=far) == "order.far"
        ship = (order_progress.ship, placed.fenn, placed.order, TODAY)
        assert placed.refused(*ship, far) == "order.far"
        assert placed.confirm(expected_on=near)["expected_on"] == near

    def test_not_a_day_to_come(self, placed: Placed) -> None:
        """Nothing has arrived on a day that is still to come."""
        late = "2099-01-01"
        assert placed.refused(placed.confirm, confirmed_on=late) == "order.future"
        assert (
            placed.refused(order_progress.ship, placed.fenn, placed.order, late, None)
            == "order.future"
        )
        assert (
            placed.refused(order_progress.arrive, placed.fenn, placed.order, late) == "order.future"
        )

    def test_by_the_desk_of_the_site_alone(self, placed: Placed) -> None:
        """Neither a surgeon nor another site's desk."""
        surgeon = placed.hospital.actor("verrill")
        assert placed.refused(order_progress.arrive, surgeon, placed.order, TODAY) == "role.missing"
        elsewhere = placed.fenn._replace(roles=(RoleAt("desk", "upper-glen"),))
        with pytest.raises(NotFound):
            order_progress.arrive(elsewhere, placed.order, TODAY)

    def test_a_record_handed_in_together_with_its_order(self, placed: Placed) -> None:
        """Records of one batch are judged on those before them, as after a restore."""
        ledger = Ledger([])
        payload = placed.payload("order.shipped", {"shipped_on": TODAY, "expected_on": None})
        assert ledger.progress_of(payload)["stage"] == "placed"
        ledger.batch["e" * 64] = SimpleNamespace(id="e" * 64, payload=payload)  # type: ignore[assignment]
        assert ledger.progress_of(payload)["stage"] == "shipped"


class TestConfirmation:
    """Compared with the order; a difference stops it."""

    DIFFERENT: ClassVar = [
        {"lens": {"model": "Model A-t"}},
        {"lens": {"sphere_cD": -500}},
        {"lens": {"cylinder_cD": -100, "axis_deg": 90}},
        {"lens": {"length_um": 13500}},
        {"for_eye": "L"},
    ]

    @pytest.mark.parametrize("said", DIFFERENT)
    def test_that_differs_is_recorded_and_stops(self, placed: Placed, said: dict[str, Any]) -> None:
        """The lens is neither shipped nor received then; nothing is taken over."""
        assert placed.confirm(**said)["stage"] == "differs"
        assert placed.state() == "ordered"
        shipped = (order_progress.ship, placed.fenn, placed.order, TODAY, None)
        assert placed.refused(*shipped) == "order.differs"
        assert placed.refused(order_progress.arrive, placed.fenn, placed.order, TODAY) == (
            "order.differs"
        )
        assert journal_lens(placed.order) == placed.said()["lens"]

    def test_of_another_reference_than_the_one_given(self, placed: Placed) -> None:
        """Until the desk records that the supplier changed it."""
        order.add_reference(placed.fenn, placed.order, "R-76")
        assert placed.confirm()["stage"] == "differs"
        order.add_reference(placed.fenn, placed.order, "R-77")
        assert placed.stage() == "confirmed"

    def test_no_second_one_beside_it(self, placed: Placed) -> None:
        """A correction names every confirmation that stands."""
        (first,) = placed.confirm(lens={"length_um": 13500})["confirmations"]
        assert placed.refused(placed.confirm) == "order.other_confirmation"
        corrected = placed.confirm(corrects=[first["id"]], correction="supplier")
        assert corrected["stage"] == "confirmed"

    def test_nothing_to_correct(self, placed: Placed) -> None:
        """The first one corrects none."""
        named = {"corrects": [placed.order], "correction": "supplier"}
        assert placed.refused(placed.confirm, **named) == "order.other_confirmation"

    def test_a_slip_is_not_put_right_alone(self, placed: Placed) -> None:
        """A colleague reads the paper again."""
        (first,) = placed.confirm(lens={"length_um": 13500})["confirmations"]
        named = {"corrects": [first["id"]], "correction": "typing"}
        assert placed.refused(placed.confirm, **named) == "order.own_typing"
        set_roles("u-marsh", RoleAt("desk", "saltpan"))
        marsh = placed.fenn._replace(user_id="u-marsh")
        found = order_progress.confirm(marsh, placed.order, placed.said(**named), PASSPHRASE)
        assert found["stage"] == "confirmed"

    def test_a_reference_of_another_order(self, placed: Placed) -> None:
        """It means that one of the two is not what it seems."""
        orders.place(
            {"order_id": "f" * 64, "number": 99, "approval": "e" * 64, "person": placed.person,
             "eye": "L", "site": "saltpan", "supplier_reference": "R-77"}
        )  # fmt: skip
        assert placed.refused(placed.confirm) == "order.reference_twice"

    def test_with_a_wrong_passphrase(self, placed: Placed) -> None:
        """It is signed for."""
        said = (placed.fenn, placed.order, placed.said(), "not this one")
        assert placed.refused(order_progress.confirm, *said) == "passphrase.wrong"

    def test_a_reference_after_it(self, placed: Placed) -> None:
        """A confirmed order has its reference; another one comes with another confirmation."""
        placed.confirm()
        again = (order.add_reference, placed.fenn, placed.order, "R-99")
        assert placed.refused(*again) == "order.confirmed_already"


class TestCancelling:
    """What is confirmed may be on its way (I26)."""

    def test_needs_the_suppliers_answer(self, placed: Placed) -> None:
        """Once confirmed, even otherwise than ordered; before, there is nothing to answer."""
        placed.confirm(lens={"length_um": 13500})
        words = (order.cancel, placed.fenn, placed.order, "Wrong lens", PASSPHRASE)
        assert placed.refused(*words) == "order.no_reply"
        order.cancel(*words[1:], "Taken back.")  # type: ignore[arg-type]
        assert placed.state() == "cancelled"

    def test_frees_the_eye_only_then(self, placed: Placed) -> None:
        """Confirmed, shipped or here: an order that lives is the only one of its eye (I2)."""
        placed.confirm()
        order_progress.arrive(placed.fenn, placed.order, TODAY)
        conditions = order.conditions(placed.fenn, placed.person, "R")
        assert "order.twice" in [one.code for one in conditions if not one.ok]
        assert placed.place() == placed.order
