"""The GS1 code on a lens box: which product, which lot, which lens, good until when.

biip alone is not enough: it notes a wrong check digit without complaint, and lets a lot swallow
the serial number whose separator was lost.
"""

import re
from typing import NamedTuple

from biip.gs1_element_strings import GS1ElementString

from tests.oracles.gs1_elements import (
    EXPIRY,
    GTIN,
    LOT,
    PRODUCTION,
    RESCAN,
    SERIAL,
    elements,
    refused,
)

DATE = r"\d\d(0[1-9]|1[0-2])([0-2]\d|3[01])"


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
    for element in elements(data):
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
