"""What was ordered, confirmed, delivered and checked before surgery, in one line each."""

from webapp.core.dates import day_words
from webapp.core.entry import Entry
from webapp.core.lens_words import lens_of, lens_text
from webapp.core.wording import EYE_WORDS


def backup_words(approved: dict[str, object]) -> str:
    """Return which back-up lens was approved, to follow the chosen one; empty without one."""
    backup = approved.get("backup")
    return "" if backup is None else ", back-up " + lens_text(lens_of(backup))


def order_line(entry: Entry) -> str:
    """Return what was ordered, under which number."""
    body = entry.body
    what = "Ordered" if body.get("backup_of") is None else "Back-up lens ordered"
    return what + ", number " + str(body["number"]) + ": " + lens_text(lens_of(body["lens"]))


def confirmation_line(entry: Entry) -> str:
    """Return what the supplier confirmed, under which reference."""
    body = entry.body
    text = "The supplier confirmed: " + EYE_WORDS[body["for_eye"]].lower() + ", "
    text += lens_text(lens_of(body["lens"])) + ", reference " + str(body["reference"])
    return text + expected_words(body["expected_on"])


def expected_words(expected_on: str | None) -> str:
    """Return when a lens is expected, to follow what is said of its order."""
    return "" if expected_on is None else ", expected " + day_words(expected_on)


def shipping_line(entry: Entry) -> str:
    """Return when the lens was shipped and when it is expected."""
    body = entry.body
    text = "Shipped " + day_words(body["shipped_on"])
    return text + expected_words(body["expected_on"])


def box_line(entry: Entry) -> str:
    """Return how a box compared with its order, and which one it was."""
    body = entry.body
    serial = body["first"]["serial"]
    text = "Lens box checked" + ("" if serial is None else ", serial number " + str(serial))
    return text + (": agrees" if body["outcome"] == "agrees" else ": differs, not to be implanted")


def listed_line(entry: Entry) -> str:
    """Return the day of the list that an eye was put on."""
    place = entry.body["place"]
    text = "On the list of " + day_words(entry.body["operate_on"])
    return text + ("" if place is None else ", " + str(place))


def theatre_line(entry: Entry) -> str:
    """Return how a check in theatre came out."""
    ends = {
        "agrees": "it is the released lens",
        "differs": "not the released lens, not to be implanted",
        "not_implanted": "not implanted. " + str(entry.body["note"]),
    }
    return "Checked in theatre: " + ends[entry.body["outcome"]]
