"""The printed order sheet, drawn from the same content as the machine-readable one."""

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from webapp.desk.lens_words import plane_words, refraction_line
from webapp.desk.moments import day, moment
from webapp.desk.numbers import dioptres, fixed, in_hundred, millimetres, short_hash
from webapp.desk.sheet_head import copy_words, eye_band, top, written_by_people
from webapp.desk.sheet_inputs import records
from webapp.desk.sheet_paper import SOFT, Paper, table

Content = Mapping[str, Any]


def make_pdf(content: Content, printed_at: datetime, fonts: Path) -> bytes:
    """Return the order sheet as a PDF file.

    Args:
        content: what ``sheet_content.content`` made.
        printed_at: the moment of printing, UTC.
        fonts: folder of the typefaces.
    """
    order, person = content["order"], content["person"]
    printed = f"printed {printed_at.day} {printed_at:%b %Y, %H:%M} UTC, void if not current"
    identity = f"{person['name']} · {person['camp_code']} · {content['eye']['word']}"
    head = f"Order {order['number']} · {identity} · {copy_words(order)}"
    foot = f"Lampside order {order['number']}, {printed}"
    paper = Paper(fonts, head, foot, written_by_people(content))
    paper.set_title(f"Lampside order {order['number']}")
    for write in (top, eye_band, _lens, _expected, records, _findings, _approval, _foot):
        write(paper, content)
    return paper.finished()


def _lens(paper: Paper, content: Content) -> None:
    """Write the lens as a sentence, then as a table."""
    lens = content["lens"]
    paper.heading("Lens, exactly as approved")
    paper.say(lens["sentence"], 11.5, bold=True)
    paper.ln(0.8)
    table(
        paper,
        (42, 26, 26, 22, 34, 36),
        ("Model", "Sphere", "Cylinder", "Axis", "Overall length", "Optic diameter"),
        [
            (
                str(lens["model"]),
                f"{dioptres(lens['sphere_cD'])} D",
                f"{dioptres(lens['cylinder_cD'])} D",
                "none" if lens["axis_deg"] is None else f"{lens['axis_deg']}°",
                f"{millimetres(lens['length_um'])} mm",
                f"{millimetres(lens['optic_um'])} mm",
            )
        ],
    )
    paper.say(f"Labelled power: {lens['labelled_power']}", 8)
    _other_lens(paper, content)
    if content["exchange"]:
        out = content["exchange"]
        paper.say(
            f"Exchange. Comes out: {out['takes_out']['sentence']} Serial number "
            f"{out['serial'] or 'not recorded'}, implanted {out['implanted_on']}.",
            9,
            bold=True,
        )


def _other_lens(paper: Paper, content: Content) -> None:
    """Write which of two lenses this is, and what the other one is."""
    other = content["other_lens"]
    if other is None:
        return
    said = f"{other['lens']['sentence']} Order {other['number']}, {other['status']}."
    if other["which"] == "chosen":
        words = "This is the back-up lens. It is implanted only after a surgeon released it instead"
        paper.say(f"{words} of the chosen one: {said}", 9, bold=True)
    else:
        paper.say(f"A back-up lens is ordered beside this one: {said}", 9, bold=True)


def _expected(paper: Paper, content: Content) -> None:
    """Write the target, the refraction expected and where the lens is expected to sit."""
    predicted = content["predicted"]
    if predicted is None:
        paper.heading("Expected")
        paper.say("What this lens promises cannot be calculated here any more.", 8.5)
        return
    low, within, high = (in_hundred(predicted[f"p_{zone}_e4"]) for zone in ("low", "in", "high"))
    um = {name: fixed(predicted[name], 1, 0) for name in ("mean_um", "low95_um", "high95_um")}
    paper.heading("Expected")
    planned = content["planned_change"]
    paper.say(
        f"Target: {content['target']['text']}. Predicted refraction {plane_words(predicted)}: "
        f"{refraction_line(predicted)} D."
        + (
            f" Planned: cornea flattened by {fixed(planned['flattening_cD'], 100, 2)} D along "
            f"{planned['meridian_deg']}°."
            if planned
            else ""
        ),
        8.5,
    )
    paper.say(
        f"Predicted vault {um['mean_um']} µm, 95 in 100 between {um['low95_um']} and "
        f"{um['high95_um']} µm. Of 100 such eyes: {within} in the window, {low} too low, "
        f"{high} too high. Vault model: {content['calculation']['model']}.",
        8.5,
    )
    if content["first_eye"]:
        paper.say("First eye’s outcome: " + " ".join(content["first_eye"]["text"]), 8.5)


def _findings(paper: Paper, content: Content) -> None:
    """Write every finding shown, with when it was seen or why it was overridden."""
    paper.heading("Findings shown to the surgeon")
    if not content["findings"]:
        paper.say("None.", 8.5)
    for finding in content["findings"]:
        seen = finding["acknowledged_at"]
        words = ". ".join(part for part in (finding["title"], finding["text"]) if part)
        said = [f"{finding['level'].capitalize()} {finding['code']}: {words}".rstrip(": ")]
        said += [f"Seen {moment(seen)}."] if seen else []
        if finding["override_reason"]:
            said.append(f"Overridden, reason: {finding['override_reason']}")
        paper.say(" ".join(said), 8.2, bold=finding["level"] == "stop")


def _approval(paper: Paper, content: Content) -> None:
    """Write who approved, when it was signed and when it reached the base."""
    approval = content["approval"]
    paper.heading("Approval")
    paper.say(
        f"Approved by {approval['approved_by']}, signed {moment(approval['signed_at'])} with key "
        f"{short_hash(approval['key'])}, received at the base {moment(approval['received_at'])}.",
        8.5,
    )


def _foot(paper: Paper, content: Content) -> None:
    """Write the identities to compare: digest, order, core, catalogue, limits."""
    calculation, order = content["calculation"], content["order"]
    paper.heading("To compare")
    lines = (
        ("Digest of what was approved", content["digest"]),
        ("Order", order["id"]),
        ("Approval", content["approval"]["id"]),
        ("Calculation core", calculation["core"]),
        (f"Catalogue “{calculation['catalogue']['title']}”", calculation["catalogue"]["id"]),
        (f"Limits “{calculation['limits']['title']}”", calculation["limits"]["id"]),
    )
    for label, value in lines:
        paper.say(f"{label}: {value}", 7.2)
    paper.set_text_color(*SOFT)
    recomputed = calculation["recomputed_here"]
    paper.say(f"Calculated as of {day(calculation['as_of'])}. {recomputed}", 7.2, soft=True)
