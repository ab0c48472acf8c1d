"""GS1 element strings: a scanned code cut into its parts, strictly.

A scanned GS1 code is a chain of element strings, each an application identifier and its value.
Identifiers of fixed length (01, 11, 17) run into the next one; the others (10, 21) end at a
separator, FNC1, which a reader passes on as ASCII 29. Source: GS1 General Specifications, sections
3 and 7.8 (from memory); which identifiers there are and what fits them is biip's table.

biip alone is not enough: it cuts a value that is too long and goes on with the rest, and takes
digits of any script.
"""

import re
from collections.abc import Iterator

from biip import ParseError
from biip.gs1_application_identifiers import GS1ApplicationIdentifier
from biip.gs1_element_strings import GS1ElementString

from webapp.core.errors import BadInput

SEPARATOR = "\x1d"
# What a reader may put first: GS1 DataMatrix, GS1-128, GS1 QR Code (ISO/IEC 15424).
GS1_SYMBOLOGIES = ("]d2", "]C1", "]Q3")
GTIN, PRODUCTION, EXPIRY, LOT, SERIAL = "01", "11", "17", "10", "21"
RESCAN = (
    "Scan again with a reader that passes on the separator (FNC1 as ASCII 29), or take lot, serial "
    "number and dates from the printed label."
)


def elements(data: str) -> Iterator[GS1ElementString]:
    """Yield the element strings of a scanned code in order.

    Raises:
        BadInput: field ``data``; no GS1 code, or a damaged one.
    """
    rest = message_of(data)
    while rest:
        if rest.startswith(SEPARATOR):
            raise refused("two separators follow each other, so that something is lost; scan again")
        identifier = identifier_at(rest)
        ends_at_separator = identifier.separator_required
        piece, _, after = rest.partition(SEPARATOR)
        # A value that ends at a separator must fit as a whole: what is too long is not cut.
        take = GS1ElementString.parse if ends_at_separator else GS1ElementString.extract
        try:
            element = take(piece)
        except ParseError:
            raise refused(misfit(identifier)) from None
        rest = after if ends_at_separator else rest[len(element) :].removeprefix(SEPARATOR)
        yield element


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


def refused(sentence: str) -> BadInput:
    """Return the refusal of a code."""
    return BadInput("data", "data cannot be used: " + sentence)
