"""Instants and dates as the desk shows them: always UTC, and always said to be."""

from datetime import UTC, date, datetime

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def now() -> datetime:
    """Return the server's present moment in UTC."""
    return datetime.now(UTC)


def parsed(instant: str) -> datetime:
    """Return the moment of an ISO 8601 instant such as ``2026-11-25T04:45:12.120Z``."""
    return datetime.fromisoformat(instant.replace("Z", "+00:00")).astimezone(UTC)


def day(iso_date: str | None) -> str:
    """Return a date or the date of an instant as ``25 Nov 2026``; nothing gives "not known"."""
    if not iso_date:
        return "not known"
    year, month, number = iso_date[:10].split("-")
    return f"{int(number)} {MONTHS[int(month) - 1]} {year}"


def moment(instant: str | None) -> str:
    """Return an instant as ``25 Nov 2026, 04:45 UTC``; nothing gives "not yet"."""
    if not instant:
        return "not yet"
    at = parsed(instant)
    return f"{at.day} {MONTHS[at.month - 1]} {at.year}, {at:%H:%M} UTC"


def minute(instant: str | None) -> str:
    """Return an instant as ``25 Nov 2026 04:45`` for a list that says "UTC" once."""
    return moment(instant).replace(",", "").replace(" UTC", "")


def elapsed(instant: str | None, until: datetime | None = None) -> str:
    """Return how long ago an instant was in its largest whole unit: "5 h", "3 days"."""
    if not instant:
        return "never"
    seconds = int(((until or now()) - parsed(instant)).total_seconds())
    if seconds < 0:
        return "clock ahead"
    if seconds < 3600:
        return f"{seconds // 60} min"
    if seconds < 86400:
        return f"{seconds // 3600} h"
    days = seconds // 86400
    return "1 day" if days == 1 else f"{days} days"


def age_years(birth_date: str | None, birth_year: int | None, today: date) -> str:
    """Return the age in whole years; from a year alone the two ages it can be, as ``26–27``."""
    if birth_date:
        born = date.fromisoformat(birth_date)
        had_birthday = (today.month, today.day) >= (born.month, born.day)
        return str(today.year - born.year - (0 if had_birthday else 1))
    if birth_year:
        return f"{today.year - birth_year - 1}–{today.year - birth_year}"
    return "age not known"


def born(birth_date: str | None, birth_year: int | None) -> str:
    """Return the second identifier in words: "born 9 Feb 1999" or "born in 1999"."""
    if birth_date:
        return f"born {day(birth_date)}"
    return f"born in {birth_year}" if birth_year else "birth date not known"
