"""Whether a lens of a released box lies in another eye already, by the records that are here.

Only the base knows every surgery, and refuses such a lens (invariant I20). A tablet without network
stops by what it holds, since the lens goes in before the base can say no.
"""

from collections import namedtuple

from webapp.core.box.theatre import key_of
from webapp.core.case.implants import KIND, in_eye
from webapp.core.dates import day_words
from webapp.core.entry import Entry
from webapp.core.live import of_kind, standing
from webapp.core.wording import EYE_WORDS

# surgery: the record; is_same_person: whether it is of the person who is asked about.
Elsewhere = namedtuple("Elsewhere", ("surgery", "is_same_person"))


def elsewhere(
    entries: list[Entry], others: list[Entry], eye: str, serial: str | None
) -> list[Elsewhere]:
    """Return the surgeries that stand and implanted a lens of this serial number already.

    One that was taken out goes into no eye again; the lens that lies in this very eye is this one.

    Args:
        entries: records of one person.
        others: what is known of surgeries of other people; may be of several, and may be empty.
        eye: the eye of that person that the lens is for.
        serial: of the released box.
    """
    if serial is None:
        return []
    own = standing(entries)
    in_place = [one.entry.id for one in in_eye(own, eye)]
    known = [Elsewhere(one, True) for one in of_kind(own.live, KIND) if one.id not in in_place]
    known += [Elsewhere(one, False) for one in of_kind(standing(others).live, KIND)]
    return [one for one in known if is_of(one.surgery, serial)]


def is_of(surgery: Entry, serial: str) -> bool:
    """Return whether a surgery implanted a lens of this serial number."""
    own = surgery.body["serial"]
    return own is not None and key_of(own) == key_of(serial)


def where_text(found: Elsewhere, serial: str) -> str:
    """Return the sentence about a lens that went into another eye."""
    whose = "the same person" if found.is_same_person else "another person"
    eye = EYE_WORDS[found.surgery.eye].lower()
    day = day_words(found.surgery.body["operated"])
    return (
        "Serial number " + serial + " is recorded as implanted on " + day + ", " + eye + " of "
        + whose + "."
    )  # fmt: skip
