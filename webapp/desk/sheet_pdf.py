"""The printed order sheet, drawn from the same content as the machine-readable one."""

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from webapp.desk import qr
from webapp.desk.lens_words import refraction_line
from webapp.desk.moments import born, day, moment, parsed
from webapp.desk.numbers import dioptres, in_hundred, millimetres, short_hash
from webapp.desk.readings import TITLES, instrument, value_of
from webapp.desk.sheet_paper import BASE, INK, MARGIN_MM, SOFT, WIDTH_MM, Paper, table

QR_MM = 27.0
QUIET_MODULES = 4
ANSWERS = {"person.registered": "Registration", "history.answers": "History"}
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
    paper = Paper(fonts, head, f"Lampside order {order['number']}, {printed}")
    paper.set_title(f"Lampside order {order['number']}")
    for write in (_top, _eye_band, _lens, _expected, _records, _findings, _approval, _foot):
        write(paper, content)
    return bytes(paper.output())


def copy_words(order: Content) -> str:
    """Return which copy of the sheet this is, in the words printed on it."""
    if order["status"] == "cancelled":
        return "CANCELLED"
    if not order["copy"]:
        return "PREVIEW, not for sending"
    return "first copy" if order["copy"] == 1 else f"REPRINT, copy {order['copy']}"


def _top(paper: Paper, content: Content) -> None:
    """Write the order's number, its standing and the code of what was approved."""
    order = content["order"]
    _draw_qr(paper, content["qr"])
    paper.set_right_margin(MARGIN_MM + QR_MM + 3)
    paper.say(f"Lens order {order['number']}", 17, bold=True)
    paper.say(f"{copy_words(order)} · {order['site_title']}", 10.5, bold=True)
    paper.say(f"Placed by {order['placed_by']}, {moment(order['placed_at'])}", 8.5)
    reference = order["supplier_reference"] or "not given yet"
    paper.say(f"Supplier’s reference: {reference}", 8.5)
    if order["cancelled_reason"]:
        paper.say(f"Cancelled: {order['cancelled_reason']}", 8.5, bold=True)
    for caution in content["cautions"]:
        paper.say(caution, 7.6, soft=True)
    paper.set_right_margin(MARGIN_MM)
    paper.set_y(max(paper.get_y(), MARGIN_MM + QR_MM) + 2)


def _draw_qr(paper: Paper, text: str) -> None:
    """Draw the code at the top right with its quiet zone."""
    code = qr.code(text)
    module_mm = QR_MM / (code.size + 2 * QUIET_MODULES)
    left = MARGIN_MM + WIDTH_MM - QR_MM + QUIET_MODULES * module_mm
    top = MARGIN_MM + QUIET_MODULES * module_mm
    paper.set_fill_color(0, 0, 0)
    for run in code.runs:
        paper.rect(
            left + run.column * module_mm,
            top + run.row * module_mm,
            run.length * module_mm,
            module_mm,
            style="F",
        )


def _eye_band(paper: Paper, content: Content) -> None:
    """Write the eye at its own edge of the paper, with the two identifiers beside it."""
    eye, person = content["eye"], content["person"]
    top, height_mm = paper.get_y(), 15.0
    right_hand = eye["code"] == "L"
    _half_disc(paper, eye["code"], top, height_mm)
    paper.set_xy(MARGIN_MM + (0 if right_hand else 12), top)
    align = "R" if right_hand else "L"
    lines = (
        (f"{eye['word'].upper()}  {eye['trade']}", 14.0, 6.4),
        (str(person["name"]), 11.0, 5.2),
        (f"{born(person['birth_date'], person['birth_year'])} · {person['camp_code']}", 9.0, 4.4),
    )
    for place, (text, size_pt, line_mm) in enumerate(lines):
        paper.set_x(MARGIN_MM + (0 if right_hand else 12))
        paper.set_font(BASE, "B" if place < 2 else "", size_pt)
        paper.cell(WIDTH_MM - 12, line_mm, text, align=align, new_x="LMARGIN", new_y="NEXT")
    paper.set_y(top + height_mm + 2)
    missing = paper.unprintable(f"{person['name']}{person['village']}{person['camp_code']}")
    if missing:
        codes = ", ".join(f"U+{ord(letter):04X}" for letter in missing)
        paper.say(f"Not every letter could be printed ({codes}). Read the name on the screen.", 8.5)


def _half_disc(paper: Paper, code: str, top_mm: float, height_mm: float) -> None:
    """Draw the filled half disc: flat side at the left edge for R, at the right edge for L."""
    radius_mm = height_mm / 2
    edge_mm = MARGIN_MM if code == "R" else MARGIN_MM + WIDTH_MM
    left_mm = edge_mm if code == "R" else edge_mm - radius_mm
    paper.set_fill_color(*INK)
    with paper.rect_clip(left_mm, top_mm, radius_mm, height_mm):
        paper.ellipse(edge_mm - radius_mm, top_mm, height_mm, height_mm, style="F")
    paper.set_font(BASE, "B", 13)
    paper.set_text_color(255, 255, 255)
    paper.set_xy(left_mm, top_mm)
    paper.cell(radius_mm, height_mm, code, align="C")
    paper.set_text_color(*INK)


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


def _expected(paper: Paper, content: Content) -> None:
    """Write the target, the refraction expected and where the lens is expected to sit."""
    predicted = content["predicted"]
    low, within, high = (in_hundred(predicted[f"p_{zone}_e4"]) for zone in ("low", "in", "high"))
    paper.heading("Expected")
    paper.say(
        f"Target: {content['target']['text']}. Predicted refraction at the glasses: "
        f"{refraction_line(predicted)} D.",
        8.5,
    )
    paper.say(
        f"Predicted vault {predicted['mean_um']} µm, 95 in 100 between {predicted['low95_um']} and "
        f"{predicted['high95_um']} µm. Of 100 such eyes: {within} in the window, {low} too low, "
        f"{high} too high. Vault model: {content['calculation']['model']}.",
        8.5,
    )


def _records(paper: Paper, content: Content) -> None:
    """Write every input: value, unit, plane or method, instrument, who, when, signing device."""
    paper.heading("Every input the surgeon saw")
    numbers = _device_numbers(content)
    rows = [(*_record_row(record), numbers[record["key"]][0]) for record in content["records"]]
    head = ("Quantity", "Value", "Where, with what", "Who", "Signed, UTC", "Received", "On")
    table(paper, (27, 31, 52, 20, 25, 25, 6), head, rows)
    paper.say("Signed on: " + "; ".join(" ".join(one) for one in numbers.values()), 7.2, soft=True)


def _device_numbers(content: Content) -> dict[str, tuple[str, str]]:
    """Return key -> a number for the column, and what that device is called."""
    labels = {record["key"]: record["signed_on"] for record in content["records"]}
    return {
        key: (str(place), f"{label or 'device'} (key {short_hash(key)})")
        for place, (key, label) in enumerate(labels.items(), start=1)
    }


def _record_row(record: Content) -> tuple[str, ...]:
    """Return one input as a row of texts."""
    kind, body = record["kind"], record["body"]
    signed = (
        str(record["author_name"]),
        _minute(record["signed_at"]),
        _minute(record["received_at"]),
    )
    if kind not in TITLES:
        return (ANSWERS[kind], "as answered", _answers(body), *signed)
    value = value_of(kind, body)
    where = ", ".join(part for part in (value.where, instrument(body)) if part)
    return (TITLES[kind], f"{value.text} {value.unit}".strip(), where, *signed)


def _answers(body: Content) -> str:
    """Return the answers of a registration or history; one without an answer is not written."""
    return "; ".join(
        f"{name.replace('_', ' ')}: {str(value).replace('_', ' ')}"
        for name, value in body.items()
        if value not in (None, "")
    )


def _minute(instant: str | None) -> str:
    """Return an instant as ``2026-11-25 04:45``, short enough for a column."""
    return f"{parsed(instant):%Y-%m-%d %H:%M}" if instant else "not yet"


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
