"""Calendar dates as text: day numbers and ages, without a clock."""

from webapp.core.errors import BadInput

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")

# The records of one visit share a few dates, and each is asked for again and again.
_known_days: dict[str, int] = {}


def day_number(date: str) -> int:
    """Return a count of days [d] that rises by one from one calendar day to the next.

    Args:
        date: ``YYYY-MM-DD``; what follows (a time of day) is ignored.

    Raises:
        BadInput: the text does not begin with a date.

    Source: proleptic Gregorian calendar, leap years by 4, 100 and 400; March-based month lengths.
    Example: 2000-03-01 is one more than 2000-02-29.
    """
    text = date[:10]
    if text not in _known_days:
        year, month, day = parts(text)
        if month < 3:
            year, month = year - 1, month + 12
        leap_days = year // 4 - year // 100 + year // 400
        if len(_known_days) >= 64:
            _known_days.clear()
        _known_days[text] = 365 * year + leap_days + (153 * (month - 3) + 2) // 5 + day
    return _known_days[text]


def parts(date: str) -> tuple[int, int, int]:
    """Return year, month and day of a date text. Raises: BadInput."""
    pieces = date[:10].split("-")
    sized = len(pieces) == 3 and [len(piece) for piece in pieces] == [4, 2, 2]
    if not sized or not all(piece.isdigit() for piece in pieces):
        raise BadInput("date", "a date must read YYYY-MM-DD, such as 2026-11-25")
    year, month, day = [int(piece) for piece in pieces]
    if not 1 <= month <= 12 or not 1 <= day <= 31:
        raise BadInput("date", "a date must have a month from 1 to 12 and a day from 1 to 31")
    return year, month, day


def day_words(date: str) -> str:
    """Return a date as sentences write it, such as "19 Oct 2026"; a time of day is left out.

    Raises:
        BadInput: the text does not begin with a date.
    """
    year, month, day = parts(date)
    return str(day) + " " + MONTHS[month - 1] + " " + str(year)


def days_from(earlier: str, later: str) -> int:
    """Return the days [d] from one date to another, negative if the second comes first."""
    return day_number(later) - day_number(earlier)


def date_after(date: str, days: int) -> str:
    """Return the date ``YYYY-MM-DD`` so many days [d] after another one; negative for before.

    Source: the inverse of ``day_number`` by eras of 400 years (146,097 days), from memory; judged
    by the standard library's calendar in the tests.
    """
    number = day_number(date) + days - 1
    era = number // 146097
    day = number - era * 146097
    year = (day - day // 1460 + day // 36524 - day // 146096) // 365
    day -= 365 * year + year // 4 - year // 100
    month = (5 * day + 2) // 153
    day -= (153 * month + 2) // 5
    month += 3
    year += 400 * era
    if month > 12:
        year, month = year + 1, month - 12
    return written(year, month, day + 1)


def written(year: int, month: int, day: int) -> str:
    """Return a date as YYYY-MM-DD."""
    return padded(year, 4) + "-" + padded(month, 2) + "-" + padded(day, 2)


def padded(number: int, digits: int) -> str:
    """Return a number with zeros before it."""
    return ("0000" + str(number))[-digits:]


def whole_years(birth_date: str, today: str) -> int:
    """Return the age [y] reached at the last birthday."""
    born, now = parts(birth_date), parts(today)
    return now[0] - born[0] - (1 if now[1:] < born[1:] else 0)


def instant_ms(instant: str) -> int:
    """Return milliseconds [ms] that rise with an instant, whatever its time zone.

    Args:
        instant: ``YYYY-MM-DDTHH:MM:SS``, decimals of a second or none, then ``Z`` or an offset
            such as ``+05:30`` (RFC 3339).

    Raises:
        BadInput: the text is no such instant.

    Example (RFC 3339, 5.8): 1996-12-19T16:39:57-08:00 is 1996-12-20T00:39:57Z.
    """
    clock, zone = instant[11:], "Z"
    for sign in ("Z", "+", "-"):
        place = clock.find(sign)
        if place >= 0:
            clock, zone = clock[:place], clock[place:]
            break
    whole, _, decimals = clock.partition(".")
    ahead_min = 0
    if zone != "Z":
        ahead_min = minutes_of(zone[1:]) * (-1 if zone[0] == "-" else 1)
    pieces = whole.split(":")
    if len(pieces) != 3:
        raise BadInput("instant", "an instant must read YYYY-MM-DDTHH:MM:SSZ")
    minutes = day_number(instant) * 1440 + minutes_of(whole[:5]) - ahead_min
    return minutes * 60000 + whole_number(pieces[2]) * 1000 + whole_number((decimals + "000")[:3])


def minutes_of(text: str) -> int:
    """Return the minutes [min] of hours and minutes such as 05:30. Raises: BadInput."""
    if len(text) != 5 or text[2] != ":":
        raise BadInput("instant", "hours and minutes must read HH:MM")
    return whole_number(text[:2]) * 60 + whole_number(text[3:])


def whole_number(text: str) -> int:
    """Return the number that digits say. Raises: BadInput."""
    if not text.isdigit():
        raise BadInput("instant", "an instant must read YYYY-MM-DDTHH:MM:SSZ")
    return int(text)
