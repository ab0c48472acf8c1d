"""When an eye with a lens in it is to be seen: the visits, the window of each, who is late or lost.

Days count from the day of surgery, which is day 0. Every day belongs to exactly one visit: a window
opens half-way from the visit before. The days are limits of the centre (common practice); a visit
whose day is set to 0 is not planned.
"""

from collections import namedtuple

# due_d: the day it is planned for. opens_d: the first day that counts for it. soon_d, late_d: the
# first day on which it is due, and the last one on which it is not late.
Visit = namedtuple("Visit", ("name", "due_d", "opens_d", "soon_d", "late_d"))
# next: the visit that comes or is missing, None when none is planned. last_d: day of the newest
# reading, None without one. over_d: days past ``late_d``, 0 while not late.
Standing = namedtuple("Standing", ("state", "next", "last_d", "over_d"))

PLANNED = (
    ("Day 1", "follow_day_d"),
    ("Week 1", "follow_week_d"),
    ("Month 1", "follow_month_d"),
    ("Month 3", "follow_month3_d"),
    ("Month 6", "follow_month6_d"),
)
# Somewhere on earth it is still the day before, or already the day after.
LEAST_GRACE_D = 1


def due_days(limits: dict[str, int], until_d: int) -> list[tuple[int, str]]:
    """Return (day [d], name) of the planned visits up to the first one after a day, in order."""
    once = [(limits[limit], name) for name, limit in PLANNED if limits[limit] > 0]
    if limits["follow_hours"] > 0:
        once.append((0, "Same-day visit"))
    once.sort()
    found: list[tuple[int, str]] = []
    for day, name in once:
        if not found or found[-1][0] != day:
            found.append((day, name))
    last_d, every_d, count = (found[-1][0] if found else 0), limits["follow_yearly_d"], 1
    while every_d > 0:
        day = every_d * count
        if day > last_d:
            found.append((day, "Year " + str(count)))
            if day > until_d:
                break
        count += 1
    return found


def visits(limits: dict[str, int], until_d: int) -> list[Visit]:
    """Return the planned visits, each with its window, up to the first one after a day [d]."""
    planned: list[Visit] = []
    before_d = 0
    for due_d, name in due_days(limits, until_d):
        apart_d = due_d - before_d
        grace_d = max(LEAST_GRACE_D, apart_d * limits["follow_grace_percent"] // 100)
        opens_d = before_d + (apart_d + 1) // 2 if planned else -LEAST_GRACE_D
        planned.append(Visit(name, due_d, opens_d, max(opens_d, due_d - grace_d), due_d + grace_d))
        before_d = due_d
    return planned


def visit_of(planned: list[Visit], day_d: int) -> Visit | None:
    """Return the visit that a reading of this day [d] belongs to; None before the first window."""
    open_ones = [one for one in planned if one.opens_d <= day_d]
    return open_ones[-1] if open_ones else None


def standing(
    planned: list[Visit], seen_d: list[int], today_d: int, limits: dict[str, int]
) -> Standing:
    """Return whether an eye is seen as planned.

    Args:
        planned: as ``visits`` gives them, until today or the newest reading.
        seen_d: the days [d] of its readings, in any order.
        today_d: today, as a day since surgery [d].
        limits: those in force.

    A visit that was missed before a later one was kept asks for nothing any more. ``state``:
    ``later``, ``due``, ``overdue``, ``lost`` (overdue for longer than the limit says), ``ended``.
    """
    last_d = max(seen_d) if seen_d else None
    kept = None if last_d is None else visit_of(planned, last_d)
    waiting = [one for one in planned if kept is None or one.opens_d > kept.opens_d]
    if not waiting:
        return Standing("ended", None, last_d, 0)
    first = waiting[0]
    over_d = today_d - first.late_d
    if over_d > limits["follow_lost_d"]:
        return Standing("lost", first, last_d, over_d)
    if over_d > 0:
        return Standing("overdue", first, last_d, over_d)
    state = "due" if today_d >= first.soon_d else "later"
    return Standing(state, first, last_d, 0)
