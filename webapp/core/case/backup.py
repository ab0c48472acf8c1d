"""The back-up lens of an order: which of the two lenses may be implanted, and since whose record.

The chosen lens is, until a surgeon's record names one of its checks, says why it is not implanted
and releases the back-up instead. That record takes the chosen lens's release away and gives the
back-up's, so never are both released, whatever arrives first. What a key signed while it may have
been in other hands takes the chosen one's away and gives nothing.
"""

from collections import namedtuple

from webapp.core.case.decisions import Decisions, is_cancelled, live_orders
from webapp.core.entry import Entry, in_display_order
from webapp.core.exam import Exam
from webapp.core.finding import Finding, caution, fixed_stop
from webapp.core.live import of_kind
from webapp.core.trust import is_doubted

KIND = "backup.released"
CHECKS = ("label.checked", "theatre.checked")

# chosen: the order that stands. backup: the one of its back-up lens, None without one, or where two
# stand. said: surgeons' records that the chosen lens is not implanted. released: the newest of them
# that releases the back-up, or None. doubled: back-up orders where there are two or more.
Pair = namedtuple("Pair", ("chosen", "backup", "said", "released", "doubled"))


def pair_of(exam: Exam, made: Decisions) -> Pair | None:
    """Return the order that stands with its back-up; None without an order, or where two stand."""
    orders = live_orders(made)
    if len(orders) != 1:
        return None
    chosen = orders[0]
    backups = backups_of(made, chosen)
    backup = backups[0] if len(backups) == 1 else None
    said = [one for one in made.releases if one.body["instead_of"] == chosen.id]
    valid = [one for one in said if backup is not None and releases(exam, one, backup)]
    return Pair(chosen, backup, said, valid[-1] if valid else None, backups[1:] and backups)


def backups_of(made: Decisions, chosen: Entry) -> list[Entry]:
    """Return the back-up orders of an order that stand."""
    return [
        one
        for one in made.backups
        if one.body["backup_of"] == chosen.id
        and one.id not in made.used
        and not is_cancelled(made, one)
    ]


def releases(exam: Exam, record: Entry, backup: Entry) -> bool:
    """Return whether a surgeon's record releases a back-up: its check of the chosen lens is here.

    Args:
        exam: the eye.
        record: that says that the chosen lens is not implanted.
        backup: the order of the back-up lens.
    """
    checks = [
        one
        for kind in CHECKS
        for one in of_kind(exam.standing.live, kind, backup.eye)
        if one.id == record.body["check"] and one.body["order"] == backup.body["backup_of"]
    ]
    is_named = record.body["order"] == backup.id and bool(checks)
    return is_named and not is_doubted(exam.reference.revoked_keys, record)


def in_use(pair: Pair) -> Entry:
    """Return the order whose lens is to be implanted, if it may be: the chosen one as a rule."""
    order: Entry = pair.chosen if pair.released is None else pair.backup
    return order


def may_be_released(pair: Pair, order: Entry) -> bool:
    """Return whether a surgeon's word, or that there is none, lets this order's box be released."""
    if order.id == pair.chosen.id:
        return not pair.said
    return pair.released is not None and order.id == pair.backup.id


def orders_of(pair: Pair) -> list[Entry]:
    """Return the orders of both lenses, the chosen one's first."""
    return [pair.chosen] + ([] if pair.backup is None else [pair.backup])


def checks_of(exam: Exam, order: Entry) -> list[Entry]:
    """Return the checks of an order's lens, at the desk and in theatre, as they are shown."""
    return in_display_order([
        one
        for kind in CHECKS
        for one in of_kind(exam.standing.live, kind, order.eye)
        if one.body["order"] == order.id
    ])  # fmt: skip


def backup_findings(pair: Pair | None) -> list[Finding]:
    """Return what is wrong with the two orders: none released, or two back-ups."""
    if pair is None:
        return []
    told = []
    if pair.said and pair.released is None:
        told.append(fixed_stop(
            "backup.none_released", "box", "Neither lens is released",
            "A surgeon\u2019s record says that the chosen lens is not implanted, and no back-up is"
            " released by it: its order ended, the check that it names is not here, or its key was"
            " in other hands.",
            "The surgeon takes that record back or makes a new one; otherwise the desk cancels the"
            " order.", [one.id for one in pair.said],
        ))  # fmt: skip
    if pair.doubled:
        told.append(caution(
            "backup.twice", "box", "Two back-up orders", "Two orders stand for the back-up lens"
            " of this eye; neither of them can be released.",
            "Cancel one of them at the supplier and here.", [one.id for one in pair.doubled],
        ))  # fmt: skip
    return told


def why_in_use(pair: Pair | None, words: str) -> str:
    """Return in a sentence how far the lens to be implanted is, and that it is the back-up."""
    if pair is None or pair.released is None:
        return words
    return "The back-up lens is released instead of the chosen one. " + words
