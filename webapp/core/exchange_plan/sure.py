"""The four checks before a second operation, each with what the records say of it.

A vault far from what was expected is first of all a question to the scan, the label, the way up
that the lens lies, and the eye (E4). Records never answer for whoever decides: "shown" means that
there is something that speaks for it, "open" that nothing does yet.
"""

from collections import namedtuple

from webapp.core.box.theatre import key_of
from webapp.core.case.boxes import KIND as LABEL
from webapp.core.case.implants import implants, order_named
from webapp.core.entry import Entry
from webapp.core.exam import OTHER, Exam
from webapp.core.exchange_plan.lens_in import LIGHT, apart_deg, axis_readings
from webapp.core.exchange_plan.work import Work
from webapp.core.live import of_kind
from webapp.core.wording import EYE_WORDS, micrometres

Check = namedtuple("Check", ("code", "title", "shown", "text", "do", "records"))


def checks(exam: Exam, work: Work) -> list[Check]:
    """Return the four checks, always in the same order."""
    return [scan(work), label(exam, work), orientation(exam, work), right_eye(exam, work)]


def scan(work: Work) -> Check:
    """Return whether the vault was measured more than once, and how far apart."""
    everything = [
        one for one in of_kind(work.lens.followups, "followup.vault") if one.body["light"] == LIGHT
    ]
    values = [micrometres(one.body["vault_um"]) for one in everything]
    again = len(everything) > 1
    text = "Measured " + ("once" if not again else str(len(everything)) + " times")
    text += ", in dim light: " + ", ".join(values) + "."
    return Check(
        "scan", "The scan", again, text if everything else "No vault in dim light is on record.",
        "Look at the scan itself: pupil not dilated, measured on the axis, the right layer marked.",
        [one.id for one in everything],
    )  # fmt: skip


def label(exam: Exam, work: Work) -> Check:
    """Return whether the lens recorded at surgery is the ordered one, its box checked."""
    surgery = work.lens.entry
    order = order_named(exam.standing, surgery)
    boxes = [
        one
        for one in of_kind(exam.standing.live, LABEL, exam.this.eye)
        if order is not None and one.body["order"] == order.id and one.body["outcome"] == "agrees"
        and key(one.body["first"]["serial"]) == key(surgery.body["serial"])
    ]  # fmt: skip
    same_lens = order is not None and order.body["lens"] == surgery.body["lens"]
    if order is None:
        text = "No order is named by the record of this surgery."
    elif not same_lens:
        text = "The lens recorded at surgery is not the one that was ordered."
    elif not boxes:
        text = "It is the lens that was ordered; no checked box has the serial number recorded."
    else:
        text = "It is the lens that was ordered, and its box was checked with the same serial"
        text += " number."
    found = [surgery.id] + ([] if order is None else [order.id]) + [one.id for one in boxes]
    return Check(
        "label", "The label", same_lens and bool(boxes), text,
        "Read the label in the patient\u2019s card or file: model, power, length, serial number.",
        found,
    )  # fmt: skip


def orientation(exam: Exam, work: Work) -> Check:
    """Return whether somebody saw which way up the lens lies, and where its axis is."""
    surgery, seen = work.lens.entry, axis_readings(work.lens)
    marks = theatre_marks(exam, surgery)
    meant_deg = surgery.body["lens"]["axis_deg"]
    said: list[str] = []
    found: list[str] = []
    shown = False
    if marks is not None:
        said.append("Two people saw its marks before it went in")
        shown, found = True, found + [marks.id]
    if surgery.body["event"] == "reloaded":
        said.append("it opened upside down at surgery, was removed and reloaded")
    if meant_deg is not None and seen:
        off = apart_deg(seen[-1].body["seen_axis_deg"], meant_deg)
        said.append("its axis was seen " + str(off) + " degrees from the one it was made for")
        shown = off < exam.limits["after_turn_deg"]
        found = found + [seen[-1].id]
    text = "; ".join(said) if said else "No record says that its marks were seen"
    return Check(
        "orientation", "Which way up it lies", shown, text[:1].upper() + text[1:] + ".",
        "Dilate the pupil and look at its marks: front side up, no haptic in front of the iris.",
        found,
    )  # fmt: skip


def theatre_marks(exam: Exam, surgery: Entry) -> Entry | None:
    """Return the second person's confirmation in theatre that the marks were seen, if there is."""
    named = surgery.body.get("theatre_check")
    for one in of_kind(exam.standing.live, "theatre.confirmed", exam.this.eye):
        if named is not None and one.body.get("check") == named:
            return one if one.body.get("marks") == "seen" else None
    return None


def right_eye(exam: Exam, work: Work) -> Check:
    """Return whether the vault is not that of the other eye written down twice."""
    mine = {one.body["vault_um"] for one in work.found.vaults}
    other = OTHER[exam.this.eye]
    theirs = [
        one for lens in implants(exam.standing, other)
        for one in of_kind(lens.followups, "followup.vault")
    ]  # fmt: skip
    alike = [one for one in theirs if one.body["vault_um"] in mine]
    here, there = EYE_WORDS[exam.this.eye], EYE_WORDS[other].lower()
    if not mine:
        text = here + "; it has no vault in dim light on record to be compared."
    elif alike:
        text = "The " + there + " has the very same vault on record: was one of them read twice?"
    elif theirs:
        values = ", ".join([micrometres(one.body["vault_um"]) for one in theirs])
        text = here + "; the " + there + " has " + values + "."
    else:
        text = here + "; the " + there + " has no vault on record."
    return Check(
        "eye", "The eye", bool(mine) and bool(theirs) and not alike, text,
        "Look at which eye the scan and the file are of.", [one.id for one in work.found.vaults],
    )  # fmt: skip


def key(serial: str | None) -> str | None:
    """Return a serial number as it is compared; None where none was recorded."""
    return None if serial is None else key_of(serial)


def as_json(one: Check) -> dict[str, object]:
    """Return one check as it crosses the door."""
    return {
        "code": one.code, "title": one.title, "state": "shown" if one.shown else "open",
        "text": one.text, "do": one.do, "records": sorted(one.records),
    }  # fmt: skip
