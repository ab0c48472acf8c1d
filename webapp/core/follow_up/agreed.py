"""The day that a person was told to come back on: it calls the eye until it was seen.

A day is agreed with an urgent reading or in a call. It stands beside the planned visits, so that
who was told to come tomorrow does not wait for the visit of next month (H37).
"""

from collections import namedtuple

from webapp.core.case.implants import DAY_OF_ANOTHER_PLACE, Implant
from webapp.core.dates import day_words, days_from, instant_ms
from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.follow_up.contacts import CONTACT
from webapp.core.follow_up.schedule import LEAST_GRACE_D, Standing
from webapp.core.follow_up.urgent import ANSWERED, TOLD
from webapp.core.live import of_kind
from webapp.core.trust import is_doubted

# A working day is shorter, from one evening to the next morning it is longer (common practice).
NIGHT_MS = 12 * 3600000
# first: the earliest day agreed on which nobody saw the eye; last: the latest one. YYYY-MM-DD.
Agreed = namedtuple("Agreed", ("first", "last"))


def agreed_days(exam: Exam, implant: Implant) -> Agreed | None:
    """Return the days agreed for a lens and not kept, None where there are none.

    A later agreement does not take an earlier one away: whoever moved the day of an urgent reading
    has not seen the eye. A visit on the last one keeps them all.
    """
    if implant.explanted_on is not None:
        return None
    waiting = sorted(
        [
            one.body["comes_on"]
            for kind in (CONTACT, TOLD, ANSWERED)
            for one in of_kind(exam.standing.live, kind, exam.this.eye)
            if one.body["implant"] in implant.names and is_waiting(exam, implant, one)
        ]
    )
    return Agreed(waiting[0], waiting[-1]) if waiting else None


def is_waiting(exam: Exam, implant: Implant, agreement: Entry) -> bool:
    """Return whether a record agreed on a day, and no reading of this lens keeps it.

    What was signed by a key that may have been in other hands is no proof that the eye was seen.
    """
    if agreement.body.get("comes_on") is None:
        return False
    seen, revoked = told_of(exam, agreement), exam.reference.revoked_keys
    return not any(
        keeps(implant, agreement, seen, one)
        for one in implant.followups
        if not is_doubted(revoked, one)
    )


def told_of(exam: Exam, agreement: Entry) -> list[str]:
    """Return when the readings that an agreement is about were taken, corrected ones as well.

    One from the future is by a clock that is wrong, and says nothing.
    """
    gone = [one for one, _ in exam.standing.withdrawn]
    named = agreement.body.get("readings") or []
    taken = [one.body["taken"] for one in exam.standing.live + gone if one.id in named]
    return [one for one in taken if days_from(exam.today, one) <= DAY_OF_ANOTHER_PLACE]


def keeps(implant: Implant, agreement: Entry, seen: list[str], reading: Entry) -> bool:
    """Return whether a reading was taken at the visit that was agreed on, or later.

    Args:
        implant: the surgery that both are of.
        agreement: a record with a day.
        seen: when the readings were taken that it is about (instants).
        reading: after that surgery.

    Days of readings are those of UTC, so the agreed day may have begun where the reading was taken
    a day before it. A visit that came early counts from half-way, as for every visit. What was
    read before the agreement, or in the same hours, was no visit that it led to.
    """
    comes_on, taken = agreement.body["comes_on"], reading.body["taken"]
    if is_known_before(agreement, seen, reading):
        return False
    early_d = days_from(taken, comes_on)
    if days_from(comes_on, agreement.wall) > DAY_OF_ANOTHER_PLACE:
        # Nobody agrees on a day that is over: that clock was ahead, and says nothing.
        return early_d < 0
    since_ms = instant_ms(taken) - instant_ms(agreement.wall)
    if early_d <= 0:
        return since_ms >= 0
    begun = max([one[:10] for one in [agreement.wall, implant.entry.body["operated"]] + seen])
    half_d = days_from(begun, comes_on) // 2
    return since_ms >= NIGHT_MS and early_d <= max(LEAST_GRACE_D, half_d)


def is_known_before(agreement: Entry, seen: list[str], reading: Entry) -> bool:
    """Return whether a reading was there when a day was agreed, whatever that clock said.

    It is what the agreement is about, or of the same visit, or its own device signed it before.
    """
    if reading.id in (agreement.body.get("readings") or []):
        return True
    if reading.key == agreement.key and reading.seq < agreement.seq:
        return True
    return any(instant_ms(reading.body["taken"]) - instant_ms(one) < NIGHT_MS for one in seen)


def with_agreed(now: Standing, agreed: Agreed | None, today: str) -> Standing:
    """Return how an eye stands when the day agreed calls for it as well.

    Args:
        now: how it stands with its visits and its vault.
        agreed: as ``agreed_days`` gives it.
        today: the date that it is judged on.

    It is due from the day before, and overdue once its day has passed, without grace: somebody said
    that this day matters.
    """
    if agreed is None:
        return now
    over_d = days_from(agreed.first, today)
    if over_d > 0 and now.state != "lost":
        return Standing("overdue", now.next, now.last_d, max(over_d, now.over_d))
    if now.state in ("lost", "overdue", "due"):
        return now
    state = "due" if over_d >= -LEAST_GRACE_D else "later"
    return Standing(state, now.next, now.last_d, 0)


def agreed_words(agreed: Agreed | None, today: str) -> str:
    """Return the sentences about the days agreed; an empty text where there are none."""
    if agreed is None:
        return ""
    if days_from(agreed.first, today) <= 0:
        return "Comes on " + day_words(agreed.first) + ", as agreed. "
    missed = "Agreed for " + day_words(agreed.first) + ", not seen. "
    if agreed.last == agreed.first:
        return missed
    return missed + "Agreed since for " + day_words(agreed.last) + ". "


def agreed_missed(agreed: Agreed | None, today: str) -> str | None:
    """Return the first day that was agreed and has passed; None where none has."""
    if agreed is None or days_from(agreed.first, today) <= 0:
        return None
    return str(agreed.first)


def first_of(due: str | None, agreed: Agreed | None) -> str | None:
    """Return the day that an eye waits for: of what was planned, or of what was agreed before."""
    if agreed is None or (due is not None and days_from(due, agreed.first) > 0):
        return due
    return str(agreed.first)
