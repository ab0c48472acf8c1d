"""The end of a history: the faults stop, and everybody exchanges until nothing moves."""

from typing import TYPE_CHECKING

from tests.simulation import away, base, checks, faults
from tests.simulation.phone import Phone

if TYPE_CHECKING:
    from tests.simulation.history import History

ROUNDS_TO_REST = 12
"""Exchanges of everybody within which all must have come to rest."""


def heal(history: "History") -> None:
    """Stop the faults, end what is under way, and exchange until nothing moves."""
    history.quiet = True
    history.finish()
    for phone in history.phones:
        faults.sort_out(history, phone)
    _exchange_until_rest(history)
    if faults.declare_gaps(history):
        _exchange_until_rest(history)
    _end_renewals(history)
    away.fetch_all(history)


def _end_renewals(history: "History") -> None:
    """Let each phone that gave up a key have it closed, and everybody hear of it."""
    given_up = [phone for phone in history.phones if phone.store.given_up]
    for phone in given_up:
        history.count("renewals_gone_on")
        history.start(phone, phone.renew(phone.key))
        history.finish()
    if given_up:
        _exchange_until_rest(history)


def _exchange_until_rest(history: "History") -> None:
    at_rest: dict[str, object] = {}
    for _ in range(ROUNDS_TO_REST):
        for phone in history.phones:
            before = _heard(phone)
            if at_rest.get(phone.kid) != before:
                history.start(phone, phone.exchange())
                history.finish()
                at_rest[phone.kid] = before
        if history.failures or all(at_rest[p.kid] == _heard(p) for p in history.phones):
            return
    history.fail("S5 the exchange did not come to rest")


def _heard(phone: Phone) -> object:
    """Return what an exchange depends on: the same before and after, the phone is at rest."""
    return base.version(), checks.summary(phone)
