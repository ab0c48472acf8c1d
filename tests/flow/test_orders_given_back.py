"""Orders and lists that a restored base gets back from phones, all in one batch: none is lost.

Each was admitted once, one after the other; in a batch it must be judged by those before it, or the
desk is told that nothing is ordered and orders the lens once more (I2).
"""

from collections.abc import Callable
from datetime import timedelta

import pytest

from tests.flow.exchange_case import Case as Operated
from tests.flow.pairs import Pair
from tests.flow.surgeries import surgery
from tests.flow.test_backup import Two
from tests.flow.test_order import Case
from tests.flow.test_theatre import Theatre
from tests.hospital import Envelope, Hospital
from tests.ordered import lens_of
from webapp.demo_people import PASSPHRASE
from webapp.flow import clock, duplicates, joining, order
from webapp.records.envelope import to_base64url
from webapp.store import journal
from webapp.store.database import database
from webapp.store.projections import orders
from webapp.store.quarantine import RefusedRecord

SITE = "saltpan"


def lost_by_a_restore(do: Callable[[], object], *sites: str) -> list[Envelope]:
    """Do something and put the database back; return what was recorded, as phones hold it."""
    before = {site: journal.head(site) for site in sites or (SITE,)}
    with database.atomic() as transaction:
        do()
        found = [one for site, n in before.items() for one in journal.entries_after(site, n, 200)]
        transaction.rollback()
    assert before == {site: journal.head(site) for site in before}
    return [
        {
            "p": to_base64url(bytes(one.payload)),
            "kid": one.kid,
            "sig": to_base64url(bytes(one.signature)),
        }
        for one in found
    ]


def give_back(hospital: Hospital, envelopes: list[Envelope]) -> None:
    """Offer all of it at once; every record must be stored."""
    receipts = hospital.phone("marsh", SITE).push(*envelopes)
    assert [one.reason for one in receipts] == [None] * len(envelopes)
    assert {one.result for one in receipts} == {"stored"}


def give_back_a_joining(pair: Pair, envelopes: list[Envelope]) -> None:
    """Offer all of both camps at once: nothing is left apart, and the two are joined."""
    pair.surgeon.push(*envelopes)
    assert RefusedRecord.select().count() == 0
    assert joining.between(pair.person, pair.other)


def live(person: str) -> list[int]:
    """Return for each order of the right eye that stands whether it is of a back-up lens."""
    lines = orders.of_case(person, "R")
    return [one.is_backup for one in lines if one.live and not one.used]


def test_a_chosen_and_a_back_up_lens(hospital: Hospital) -> None:
    """The second is ordered beside the first one of the same batch."""
    two = Two(hospital)
    give_back(hospital, lost_by_a_restore(two.place))
    assert live(two.case.person) == [0, 1]


def test_cancelled_and_ordered_anew(hospital: Hospital) -> None:
    """The older copy still has the first order standing."""
    case = Case(hospital)
    first = case.place()

    def again() -> None:
        order.cancel(case.fenn, first, "Another length", PASSPHRASE)
        request = case.camp.send_for_plan(case.person, "R")
        case.place(approval=case.surgeon.approve(case.person, "R", request))

    give_back(hospital, lost_by_a_restore(again))
    assert [one.live for one in orders.of_case(case.person, "R")] == [1, 0]


def test_two_lenses_cancelled_and_ordered_anew(hospital: Hospital) -> None:
    """Each kind once, before and after."""
    two = Two(hospital)
    chosen, _ = two.place()

    def again() -> None:
        order.cancel(two.fenn, chosen, "Another length", PASSPHRASE)
        person = two.case.person
        request = two.camp.send_for_plan(person, "R")
        body = two.surgeon.approval_body(person, "R", request)
        named = {**body, "backup": two.lens}
        two.case.place(approval=two.surgeon.keep("plan.approval", person, "R", named))

    give_back(hospital, lost_by_a_restore(again))
    assert live(two.case.person) == [0, 1]
    assert len(orders.of_case(two.case.person, "R")) == 4


def test_a_back_up_alone_cancelled_is_not_ordered_by_its_return(hospital: Hospital) -> None:
    """What ended comes back ended."""
    two = Two(hospital)

    def both() -> None:
        _, backup = two.place()
        order.cancel(two.fenn, backup, "Not made any more", PASSPHRASE)

    give_back(hospital, lost_by_a_restore(both))
    assert live(two.case.person) == [0]


def test_a_withdrawn_surgery_and_the_cancelled_order(hospital: Hospital) -> None:
    """The older copy has the lens of that order in the eye."""
    case = Operated(hospital)
    made = case.decide()
    placed = case.place(made)
    new = case.operate(**case.exchange_body(order=placed, approval=made, lens=lens_of(placed)))

    def undone() -> None:
        case.surgeon.keep("record.void", case.person, "R", {"target": new}, reason="Other person")
        order.cancel(case.fenn, placed, "Not needed", PASSPHRASE)

    give_back(hospital, lost_by_a_restore(undone))
    assert live(case.person) == []


def test_an_eye_that_was_moved_to_a_later_day_of_theatre(
    hospital: Hospital, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its first day is over by the restore; without that record the new day would be refused."""
    theatre = Theatre(hospital)
    moved_to = (clock.utc_now() + timedelta(days=20)).date().isoformat()
    lost = lost_by_a_restore(lambda: theatre.listed(theatre.listed(), operate_on=moved_to))
    later = clock.utc_now() + timedelta(days=10)
    with monkeypatch.context() as patched:
        patched.setattr(clock, "utc_now", lambda: later)
        give_back(hospital, lost)
    assert theatre.seen()["listed"]["operate_on"] == moved_to


def test_joined_once_one_of_two_orders_was_cancelled(hospital: Hospital) -> None:
    """The older copy still has both standing; without the joining one person stands there twice."""
    pair = Pair(hospital)
    duplicates.answer(pair.fenn, pair.person, pair.other, "different", PASSPHRASE)
    pair.place()
    there = pair.order_there()

    def joined() -> None:
        order.cancel(pair.fenn, there, "Registered twice", PASSPHRASE)
        pair.join()

    give_back_a_joining(pair, lost_by_a_restore(joined, "upper-glen", SITE))


def test_joined_once_one_of_two_surgeries_was_withdrawn(hospital: Hospital) -> None:
    """The older copy has a lens in the same eye of both registrations."""
    pair = Pair(hospital)
    pair.surgeon.keep("surgery.implanted", pair.person, "L", surgery())
    wrong = pair.surgeon_there.keep("surgery.implanted", pair.other, "L", surgery(serial="TI-9"))

    def joined() -> None:
        pair.surgeon_there.keep(
            "record.void", pair.other, "L", {"target": wrong}, reason="The same one twice"
        )
        pair.join()

    give_back_a_joining(pair, lost_by_a_restore(joined, "upper-glen", SITE))
