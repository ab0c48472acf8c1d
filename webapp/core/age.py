"""How old a person can be, when perhaps only the year of birth is known."""

from webapp.core.dates import parts, whole_years
from webapp.core.entry import Entry


def age_range(person: Entry, today: str) -> tuple[int, int]:
    """Return the youngest and the oldest age [y] that the registration allows.

    A year alone leaves two ages open; each rule then uses the one that is worse for the eye.
    """
    birth_date = person.body["birth_date"]
    if birth_date is not None:
        age_y = whole_years(birth_date, today)
        return age_y, age_y
    oldest_y = parts(today)[0] - person.body["birth_year"]
    return oldest_y - 1, oldest_y


def age_words(person: Entry, today: str) -> str:
    """Return the age in words: "27", or "26 or 27" where only the year of birth is known."""
    youngest_y, oldest_y = age_range(person, today)
    if youngest_y == oldest_y:
        return str(oldest_y)
    return str(youngest_y) + " or " + str(oldest_y)
