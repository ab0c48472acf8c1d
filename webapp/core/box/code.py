"""What the GS1 code of a lens box says: which product, which lot, which lens, good until when.

It never says the power, the length or the eye: those are read from the printed label.
"""

from collections import namedtuple

from webapp.core.box.elements import (
    EXPIRY,
    GTIN,
    LOT,
    PRODUCTION,
    RESCAN,
    SEPARATOR,
    SERIAL,
    elements,
    is_date_like,
    message_of,
    printed_elements,
    refused,
)
from webapp.core.box.identifiers import DIGITS, only
from webapp.core.dates import day_number, parts, written
from webapp.core.errors import BadInput

# What the code says, None for what it does not hold; dates are YYYY-MM-DD.
Code = namedtuple("Code", ("gtin", "production_date", "expiry_date", "lot", "serial"))

YEARS_AHEAD = 50
# Where a code came from: by a camera, a picture or a reader at the cable; or by fingers.
READER, KEYS = "reader", "keys"


def read(data: str, today: str) -> Code:
    """Return what a scanned code says.

    A day 00 is the last of its month; of the years that end in the two digits, the one from 49
    years ago to 50 years ahead is meant. Source: GS1 General Specifications, 7.12 (from memory).

    Args:
        data: the code as the reader gave it.
        today: ``YYYY-MM-DD``.

    Raises:
        BadInput: field ``data``; not a GS1 code, damaged, wrong by its check digit, or with parts
            that have run together.
    """
    code = code_of(elements(data), today)
    refuse_merged(code)
    return code


def read_any(data: str, today: str) -> Code:
    """Return the same of a code or of the text printed beside it. Raises: as ``read``."""
    if is_printed(data):
        return code_of(printed_elements(data), today)
    return read(data, today)


def is_printed(data: str) -> bool:
    """Return whether this is the text with brackets that is printed beside a code."""
    return message_of(data).startswith("(")


def source_of(value: object) -> str | None:
    """Return where a code came from, None where its record does not say. Raises: BadInput."""
    if value is not None and value not in (READER, KEYS):
        raise BadInput("code_by", "a code comes from a reader or from keys")
    return None if value is None else str(value)


def is_scan(data: str, source: str | None) -> bool:
    """Return whether a reader gave this.

    Where it came from decides. Records from before that was kept are judged by their text: a
    keyboard seldom writes a separator or a symbology.
    """
    if source is not None:
        return source == READER and not is_printed(data)
    text = data.strip(" \t\r\n")
    return (text.startswith("]") or SEPARATOR in message_of(data)) and not is_printed(data)


def code_of(found: list[tuple[str, str]], today: str) -> Code:
    """Return the parts that matter. Raises: BadInput where one is wrong, or there twice."""
    values: dict[str, str] = {}
    for identifier, value in found:
        if values.get(identifier, value) != value:
            raise refused("identifier " + identifier + " comes twice with two different values")
        values[identifier] = value
    return Code(
        gtin_of(values.get(GTIN)),
        date_of(PRODUCTION, values.get(PRODUCTION), today),
        date_of(EXPIRY, values.get(EXPIRY), today),
        values.get(LOT),
        values.get(SERIAL),
    )


def gtin_of(digits: str | None) -> str | None:
    """Return the 14 digits of the product number. Raises: BadInput for a wrong check digit."""
    if digits is not None and digits[-1] != check_digit(digits[:-1]):
        raise refused(
            "the check digit of the product number (GTIN) is wrong: a digit was misread or "
            "mistyped; scan again"
        )
    return digits


def check_digit(digits: str) -> str:
    """Return the digit that makes the weighted sum a multiple of ten; weights 3, 1 from the right.

    Source: GS1 General Specifications, 7.9 (from memory). Example: 0950600013435 gives 2.
    """
    total = 0
    for place in range(len(digits)):
        weight = 3 if (len(digits) - place) % 2 else 1
        total += weight * int(digits[place])
    return str(-total % 10)


def date_of(identifier: str, digits: str | None, today: str) -> str | None:
    """Return YYMMDD as YYYY-MM-DD. Raises: BadInput for a day that its month has not."""
    if digits is None:
        return None
    year, month, day = year_of(int(digits[:2]), today), int(digits[2:4]), int(digits[4:])
    last = days_of_month(year, month)
    if day > last:
        raise refused(
            "the date after identifier " + identifier + " is no date of the calendar (YYMMDD)"
        )
    return written(year, month, day if day else last)


def year_of(two_digits: int, today: str) -> int:
    """Return the year meant by its last two digits."""
    this_year = parts(today)[0]
    year = this_year - this_year % 100 + two_digits
    if year > this_year + YEARS_AHEAD:
        return year - 100
    return year + 100 if year <= this_year - YEARS_AHEAD else year


def days_of_month(year: int, month: int) -> int:
    """Return how many days [d] a month has."""
    following = written(year + month // 12, month % 12 + 1, 1)
    return day_number(following) - day_number(written(year, month, 1))


def refuse_merged(code: Code) -> None:
    """Raise BadInput where a lot or serial number seems to hold what the code otherwise lacks.

    Every lens has a serial number, so that a lot with 21 inside and no serial number beside it is
    far more likely two fields than one. A serial number with 10 inside says nothing: many labels
    have no lot. So that one case stays for the comparison with the printed label.
    """
    if code.serial is None and SERIAL in (code.lot or "")[1:-1]:
        raise refused("the lot seems to hold the serial number too. " + RESCAN)
    for value in (code.lot, code.serial):
        for identifier, date in ((PRODUCTION, code.production_date), (EXPIRY, code.expiry_date)):
            if date is None and ends_in_date(value or "", identifier):
                raise refused("the lot or serial number seems to hold a date too. " + RESCAN)


def ends_in_date(value: str, identifier: str) -> bool:
    """Return whether a value ends in an identifier and a date, with something before them."""
    head, tail = value[:-8], value[-8:]
    is_dated = tail[:2] == identifier and only(tail[2:], DIGITS) and len(tail) == 8
    return head != "" and is_dated and is_date_like(tail[2:])
