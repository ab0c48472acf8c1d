"""What was done in an eye, and decided about the lens in it, in one line each."""

from webapp.core.dates import day_words
from webapp.core.entry import Entry
from webapp.core.lens_words import lens_of, lens_text

DECISIONS = {
    "exchange": "Exchange the lens",
    "observe": "Watch the lens",
    "turn": "Turn the lens towards the vertical",
    "rerotate": "Turn the lens to its axis",
    "corneal": "Correct the rest at the cornea",
    "remove": "Take the lens out",
}
ASKED = {
    "high_vault": "vault too high",
    "low_vault": "vault too low, or touch",
    "angle": "angle narrow or closing",
    "pressure": "pressure",
    "refraction": "refraction is off",
    "turned": "the lens has turned",
    "cells": "endothelial cells",
    "lens_opacity": "the natural lens clouds",
    "patient": "the patient\u2019s wish",
    "other": "another reason",
}
EXPLANTED = {
    "exchange_later": "another lens is to follow",
    "high_vault": "vault too high",
    "low_vault": "vault too low",
    "cells": "endothelial cells",
    "lens_opacity": "the natural lens clouded",
    "patient": "the patient\u2019s wish",
    "other": "another reason",
}


def surgery_line(entry: Entry) -> str:
    """Return what was implanted, when, and that something happened where it did."""
    body = entry.body
    text = "Implanted " if body.get("explants") is None else "Exchanged "
    text += day_words(body["operated"]) + ": " + lens_text(lens_of(body["lens"]))
    if body["serial"]:
        text += ", serial " + str(body["serial"])
    if body.get("explanted_serial"):
        text += "; taken out: serial " + str(body["explanted_serial"])
    return text + (". " + str(body["note"]) if body["event"] != "none" else "")


def removal_line(entry: Entry) -> str:
    """Return when a lens was taken out, and why."""
    body = entry.body
    text = "Lens taken out " + day_words(body["operated"]) + ", " + EXPLANTED[body["why"]]
    if body["serial"]:
        text += "; serial " + str(body["serial"])
    return text + ("" if body["note"] is None else ". " + str(body["note"]))


def asked_text(entry: Entry) -> str:
    """Return why it was asked that an exchange be weighed, with the note."""
    note = entry.body["note"]
    return ASKED[entry.body["why"]] + ("" if note is None else ", \u201c" + str(note) + "\u201d")


def asked_line(entry: Entry) -> str:
    """Return that it was asked to weigh an exchange, and why."""
    return "Asked to weigh an exchange: " + asked_text(entry)


def decision_text(decision: Entry) -> str:
    """Return what was decided about a lens in the eye, with the new one where there is one."""
    word, lens = DECISIONS[decision.body["decision"]], decision.body["shown"]["lens"]
    return word + ("" if lens is None else ": " + lens_text(lens_of(lens)))


def decision_line(entry: Entry) -> str:
    """Return a decision about a lens in the eye, with its note."""
    note = entry.body["note"]
    return "Decided: " + decision_text(entry) + ("" if note is None else ". " + str(note))
