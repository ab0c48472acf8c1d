"""The GS1 code on a lens box: which product, which lot, which lens, good until when.

A scanned GS1 code is a chain of element strings, each an application identifier and its value.
Identifiers of fixed length (01, 11, 17) run into the next one; the others (10, 21) end at a
separator, FNC1, which a reader passes on as ASCII 29. Source: GS1 General Specifications, sections
3 and 7.8 (from memory); which identifiers there are and what fits them is biip's table.

biip alone is not enough: it takes a wrong check digit, cuts a value that is too long and goes on
with the rest, takes digits of any script, and lets a lot swallow a serial number whose separator
was lost.
"""

import re
from collections.abc import Iterator
from typing import NamedTuple

from biip import ParseError
from biip.gs1_application_identifiers import GS1ApplicationIdentifier
from biip.gs1_element_strings import GS1ElementString

from webapp.core.errors import BadInput

SEPARATOR = "\x1d"
# What a reader may put first: GS1 DataMatrix, GS1-128, GS1 QR Code (ISO/IEC 15424).
GS1_SYMBOLOGIES = ("]d2", "]C1", "]Q3")
GTIN, PRODUCTION, EXPIRY, LOT, SERIAL = "01", "11", "17", "10", "21"
DATE = r"\d\d(0[1-9]|1[0-2])([0-2]\d|3[01])"
RESCAN = (
    "Scan again with a reader that passes on the separator (FNC1 as ASCII 29), or take lot, serial "
    "number and dates from the printed label."
)


class Label(NamedTuple):
    """What the code says, None for what it does not hold; dates are YYYY-MM-DD."""

    gtin: str | None
    production_date: str | None
    expiry_date: str | None
    lot: str | None
    serial: str | None


def read(data: str) -> Label:
    """Return what a scanned code says.

    A day 00 is the last of its month; of the years that end in the two digits, the one from 49
    years ago to 50 years ahead is meant.

    Raises:
        BadInput: field ``data``; not a GS1 code, damaged, wrong by its check digit, or with parts
            that have run together.
    """
    found: dict[str, GS1ElementString] = {}
    for element in elements(message_of(data)):
        if found.setdefault(element.ai.ai, element).value != element.value:
            raise refused(f"identifier {element.ai.ai} comes twice with two different values")
    label = Label(
        gtin_of(found.get(GTIN)),
        date_of(found.get(PRODUCTION)),
        date_of(found.get(EXPIRY)),
        found[LOT].value if LOT in found else None,
        found[SERIAL].value if SERIAL in found else None,
    )
    refuse_merged(label)
    return label


def message_of(data: str) -> str:
    """Return the element strings without the reader's own characters around them."""
    text = data.strip(" \t\r\n")
    symbology = text[:3] if text.startswith("]") else ""
    message = text[len(symbology) :].strip(SEPARATOR)
    if message.startswith("+"):
        raise refused("this is a HIBCC code, which is not read here; scan the GS1 code of the box")
    if symbology and symbology not in GS1_SYMBOLOGIES:
        raise refused(
            f"{symbology!a} marks a code that is not of GS1; scan the GS1 code of the box"
        )
    if message.startswith("("):
        raise refused("this is the printed text with brackets, not the scanned code; scan the code")
    if not message:
        raise refused("the code is empty; scan again")
    if not re.fullmatch(r"[!-~\x1d]+", message):
        raise refused("there are characters in it that no GS1 code holds; scan again")
    return message


def elements(message: str) -> Iterator[GS1ElementString]:
    """Yield the element strings in order. Raises: BadInput for what cannot be one."""
    rest = message
    while rest:
        if rest.startswith(SEPARATOR):
            raise refused("two separators follow each other, so that something is lost; scan again")
        identifier = identifier_at(rest)
        ends_at_separator = identifier.separator_required
        piece, _, after = rest.partition(SEPARATOR)
        try:
            # A value that ends at a separator must fit as a whole: what is too long is not cut.
            take = GS1ElementString.parse if ends_at_separator else GS1ElementString.extract
            element = take(piece)
        except ParseError:
            raise refused(misfit(identifier)) from None
        rest = after if ends_at_separator else rest[len(element) :].removeprefix(SEPARATOR)
        yield element


def identifier_at(rest: str) -> GS1ApplicationIdentifier:
    """Return the application identifier that the text begins with."""
    try:
        return GS1ApplicationIdentifier.extract(rest)
    except ParseError:
        raise refused(
            f"{rest[:4]!a} begins with no identifier of GS1: the code is damaged, or a separator "
            f"before it is one too many. {RESCAN}"
        ) from None


def misfit(identifier: GS1ApplicationIdentifier) -> str:
    """Return the sentence for a value that its identifier does not allow."""
    if identifier.ai in (PRODUCTION, EXPIRY):
        return f"the date after identifier {identifier.ai} is no date of the calendar (YYMMDD)"
    if identifier.ai in (LOT, SERIAL):
        which = "lot" if identifier.ai == LOT else "serial number"
        return (
            f"the {which} must have 1 to 20 characters that GS1 allows; a longer one means that "
            f"the separator after it was lost. {RESCAN}"
        )
    return f"the value after identifier {identifier.ai} is damaged. {RESCAN}"


def gtin_of(element: GS1ElementString | None) -> str | None:
    """Return the 14 digits of the product number. Raises: BadInput for a wrong check digit."""
    if element is None:
        return None
    if element.gtin is None:
        raise refused(
            "the check digit of the product number (GTIN) is wrong: a digit was misread or "
            "mistyped; scan again"
        )
    return element.value


def date_of(element: GS1ElementString | None) -> str | None:
    """Return a date as YYYY-MM-DD."""
    return None if element is None or element.date is None else element.date.isoformat()


def refuse_merged(label: Label) -> None:
    """Raise BadInput where a lot or serial number seems to hold what the label otherwise lacks.

    Every lens has a serial number, so that a lot with 21 inside and no serial number beside it is
    far more likely two fields than one. A serial number with 10 inside says nothing: many labels
    have no lot. So that one case stays for the comparison with the printed label.
    """
    if label.serial is None and re.search(".21.", label.lot or ""):
        raise refused(f"the lot seems to hold the serial number too. {RESCAN}")
    for value in (label.lot, label.serial):
        for identifier, date in ((PRODUCTION, label.production_date), (EXPIRY, label.expiry_date)):
            if date is None and re.search(f".{identifier}{DATE}$", value or ""):
                raise refused(f"the lot or serial number seems to hold a date too. {RESCAN}")


def refused(sentence: str) -> BadInput:
    """Return the refusal of a code."""
    return BadInput("data", "data cannot be used: " + sentence)
