"""How the visits after one surgery cross the door: each with its day, and who is to be called."""

from webapp.core.case.implants import Implant, days_after
from webapp.core.dates import date_after, day_words, days_from
from webapp.core.exam import Exam
from webapp.core.follow_up.agreed import (
    agreed_days,
    agreed_missed,
    agreed_words,
    first_of,
    with_agreed,
)
from webapp.core.follow_up.first_vault import DAY_D, first_vault, with_vault
from webapp.core.follow_up.schedule import Standing, Visit, standing, visit_of, visits
from webapp.core.wording import count_of

CALLED_FOR_VAULT = {
    "due": "Due now: the vault, still to be read. ",
    "overdue": "Overdue: the vault, still to be read. ",
}


def schedule_json(exam: Exam, implant: Implant) -> dict[str, object]:
    """Return the visits of one implant up to the next one, and how it stands with them."""
    operated, seen_d = implant.entry.body["operated"], days_seen(implant)
    today_d = days_from(operated, exam.today)
    planned, now = planned_and_now(exam, implant, seen_d, today_d)
    shown = [one for one in planned if now.next is None or one.due_d <= now.next.due_d]
    # Its visits alone say how it stands now; the vault may call it besides, and a day agreed.
    called, agreed = with_vault(now, implant, today_d), agreed_days(exam, implant)
    awaited = with_agreed(called, agreed, exam.today)
    return {
        "state": awaited.state,
        "text": taken_out(implant)
        + agreed_words(agreed, exam.today)
        + (CALLED_FOR_VAULT[called.state] if called.state != now.state else "")
        + said(now, operated, today_d)
        + first_vault(implant, exam.today),
        "due": first_of(due_on(now, called, operated), agreed),
        "agreed_missed": agreed_missed(agreed, exam.today),
        "next": None if now.next is None else now.next.name,
        "over_d": awaited.over_d,
        "last_d": now.last_d,
        "visits": [visit_json(one, now, planned, seen_d, operated) for one in shown],
    }


def planned_and_now(
    exam: Exam, implant: Implant, seen_d: list[int], today_d: int
) -> tuple[list[Visit], Standing]:
    """Return the visits planned for one lens, and how its eye stands with them alone.

    Args:
        exam: the eye.
        implant: the surgery with its readings.
        seen_d: the days [d] of its readings.
        today_d: today, as a day since surgery [d].
    """
    planned = visits(exam.limits, max([today_d] + seen_d))
    now = standing(planned, seen_d, today_d, exam.limits)
    if implant.explanted_on is None:
        return planned, now
    # Nobody is called to have a lens looked at that is no longer there.
    out_d = days_from(implant.entry.body["operated"], implant.explanted_on)
    return [one for one in planned if one.due_d <= out_d], Standing("ended", None, now.last_d, 0)


def due_on(now: Standing, called: Standing, operated: str) -> str | None:
    """Return the day of what an eye waits for: of its vault where only that calls for it."""
    if called.state != now.state:
        return date_after(operated, DAY_D)
    return None if now.next is None else date_after(operated, now.next.due_d)


def taken_out(implant: Implant) -> str:
    """Return the sentence that a lens was taken out, an empty text for one in the eye."""
    if implant.explanted_on is None:
        return ""
    return "Taken out " + day_words(implant.explanted_on) + ". "


def days_seen(implant: Implant) -> list[int]:
    """Return the days [d] since surgery of every reading of this lens."""
    return [days_after(implant.entry, one) for one in implant.followups]


def visit_name(exam: Exam, day_d: int) -> str | None:
    """Return the name of the visit that a reading of this day [d] belongs to, if any."""
    found = visit_of(visits(exam.limits, day_d), day_d)
    return None if found is None else str(found.name)


def visit_json(
    visit: Visit, now: Standing, planned: list[Visit], seen_d: list[int], operated: str
) -> dict[str, object]:
    """Return one visit: when it is planned, and whether it was kept."""
    kept = [day for day in seen_d if visit_of(planned, day) == visit]
    if kept:
        state = "kept"
    elif now.next == visit:
        state = now.state
    else:
        state = "missed"
    return {
        "name": visit.name,
        "due": date_after(operated, visit.due_d),
        "state": state,
        "day": min(kept) if kept else None,
    }


def said(now: Standing, operated: str, today_d: int) -> str:
    """Return in a sentence or two how an eye stands with its visits."""
    if now.next is None:
        return "No further visit is planned. " + last_words(now.last_d)
    name = str(now.next.name)
    planned_on = day_words(date_after(operated, now.next.due_d))
    due = name + " was due " + planned_on
    late = count_of(today_d - now.next.due_d, "day", "days") + " ago"
    if now.state == "lost":
        return "Lost to follow-up. " + last_words(now.last_d) + " " + due + ", " + late + "."
    if now.state == "overdue":
        return "Overdue. " + due + ", " + late + ". " + last_words(now.last_d)
    opening = "Due now: " if now.state == "due" else "Next: "
    return opening + name + ", planned for " + planned_on + "."


def last_words(last_d: int | None) -> str:
    """Return when an eye was last seen."""
    if last_d is None:
        return "Not seen since surgery."
    return "Last seen on day " + str(max(last_d, 0)) + "."
