"""GS1 element strings: a scanned code, or its text as it is printed, cut into its parts, strictly.

A scanned GS1 code is a chain of element strings, each an application identifier and its value.
Identifiers of fixed length (01, 11, 17) run into the next one; the others (10, 21) end at a
separator, FNC1, which a reader passes on as ASCII 29. In print each identifier stands in brackets.
Source: GS1 General Specifications, sections 3 and 7.8 (from memory).

Written here since the phone and the server must cut a code alike; a library judges it in the tests.
"""

from webapp.core.box.identifiers import CHARACTERS, Rule, fits, only, rule_at
from webapp.core.errors import BadInput

SEPARATOR = "\x1d"
# A record holds no control characters: there the separator is written as its picture.
SEPARATOR_PICTURE = "\u241d"
# What a reader may put first: GS1 DataMatrix, GS1-128, GS1 QR Code (ISO/IEC 15424).
GS1_SYMBOLOGIES = ("]d2", "]C1", "]Q3")
GTIN, PRODUCTION, EXPIRY, LOT, SERIAL = "01", "11", "17", "10", "21"
DATES = ("11", "12", "13", "15", "16", "17")
RESCAN = (
    "Scan again with a reader that passes on the separator (FNC1 as ASCII 29), or take lot, serial "
    "number and dates from the printed label."
)


def elements(data: str) -> list[tuple[str, str]]:
    """Return each identifier of a scanned code with its value, in order.

    Raises:
        BadInput: field ``data``; no GS1 code, or a damaged one.
    """
    rest = message_of(data)
    if rest.startswith("("):
        raise refused("this is the printed text with brackets, not the scanned code; scan the code")
    found = []
    while rest:
        if rest.startswith(SEPARATOR):
            raise refused("two separators follow each other, so that something is lost; scan again")
        rule = rule_at(rest)
        if rule is None:
            raise refused(
                "'" + rest[:4].replace(SEPARATOR, SEPARATOR_PICTURE) + "' begins with no identifier"
                " of GS1: the code is damaged, or a separator before it is one too many. " + RESCAN
            )
        identifier, body = rest[: len(rule.first)], rest[len(rule.first) :]
        # A value that ends at a separator must fit as a whole: what is too long is not cut.
        value, _, after = body.partition(SEPARATOR)
        if rule.fixed:
            value, after = body[: rule.fixed], body[rule.fixed :]
            after = after[1:] if after.startswith(SEPARATOR) else after
        found.append(checked(rule, identifier, value))
        rest = after
    return found


def printed_elements(data: str) -> list[tuple[str, str]]:
    """Return the same of the text printed beside a code: (01)09506000134352(21)XYZ9.

    The brackets say where a value ends, so no separator can be lost here.

    Raises:
        BadInput: field ``data``.
    """
    rest = message_of(data)
    found = []
    while rest:
        identifier, bracket, after = rest[1:].partition(")")
        rule = rule_at(identifier)
        if not rest.startswith("(") or not bracket or rule is None or identifier > rule.last:
            raise refused(
                "each part must begin with its identifier in brackets, such as (21); type it as it "
                "is printed"
            )
        value = after[: next_part(after)]
        found.append(checked(rule, identifier, value))
        rest = after[len(value) :]
    return found


def next_part(text: str) -> int:
    """Return where the next identifier in brackets begins; the length where none does."""
    place = text.find("(")
    while place >= 0:
        inside, bracket, _ = text[place + 1 :].partition(")")
        rule = rule_at(inside)
        if bracket and rule is not None and len(inside) == len(rule.first):
            return place
        place = text.find("(", place + 1)
    return len(text)


def message_of(data: str) -> str:
    """Return the element strings without the reader's own characters around them."""
    text = data.replace(SEPARATOR_PICTURE, SEPARATOR).strip(" \t\r\n")
    symbology = text[:3] if text.startswith("]") else ""
    message = text[len(symbology) :].strip(SEPARATOR)
    if message.startswith("+"):
        raise refused("this is a HIBCC code, which is not read here; scan the GS1 code of the box")
    if symbology and symbology not in GS1_SYMBOLOGIES:
        raise refused(
            "'" + symbology + "' marks a code that is not of GS1; scan the GS1 code of the box"
        )
    if not message:
        raise refused("the code is empty; scan again")
    if not only(message, PRINTABLE + SEPARATOR):
        raise refused("there are characters in it that no GS1 code holds; scan again")
    return message


# The signs of ASCII that show, space excepted.
PRINTABLE = CHARACTERS + "#$@[\\]^`{|}~"


def checked(rule: Rule, identifier: str, value: str) -> tuple[str, str]:
    """Return an identifier with its value. Raises: BadInput when the value does not fit."""
    if fits(rule, value) and not (identifier in DATES and not is_date_like(value)):
        return identifier, value
    raise refused(misfit(identifier))


def is_date_like(value: str) -> bool:
    """Return whether six digits have a month of the year and a day that some month has, or 00."""
    return "01" <= value[2:4] <= "12" and "00" <= value[4:] <= "31"


def misfit(identifier: str) -> str:
    """Return the sentence for a value that its identifier does not allow."""
    if identifier in DATES:
        return "the date after identifier " + identifier + " is no date of the calendar (YYMMDD)"
    if identifier in (LOT, SERIAL):
        which = "lot" if identifier == LOT else "serial number"
        return (
            "the " + which + " must have 1 to 20 characters that GS1 allows; a longer one means "
            "that the separator after it was lost. " + RESCAN
        )
    return "the value after identifier " + identifier + " is damaged. " + RESCAN


def refused(sentence: str) -> BadInput:
    """Return the refusal of a code."""
    return BadInput("data", "data cannot be used: " + sentence)
