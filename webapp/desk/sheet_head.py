"""The head of the order sheet: number, standing, code, eye and person."""

from collections.abc import Mapping
from typing import Any

from webapp.desk import qr
from webapp.desk.moments import born, moment
from webapp.desk.sheet_paper import BASE, INK, MARGIN_MM, WIDTH_MM, Paper

QR_MM = 27.0
QUIET_MODULES = 4
Content = Mapping[str, Any]


def written_by_people(content: Content) -> str:
    """Return every text of the sheet that somebody typed, in whatever script."""
    person, order = content["person"], content["order"]
    typed = [person["name"], person["village"], person["camp_code"]]
    typed += [order["supplier_reference"], order["cancelled_reason"]]
    typed += [finding["override_reason"] for finding in content["findings"]]
    for record in content["records"]:
        typed += [record["author_name"], record["signed_on"]]
        typed += [value for value in record["body"].values() if isinstance(value, str)]
    return "".join(text for text in typed if text)


def copy_words(order: Content) -> str:
    """Return which copy of the sheet this is, in the words printed on it."""
    if order["status"] == "cancelled":
        return "CANCELLED"
    if not order["copy"]:
        return "PREVIEW, not for sending"
    return "first copy" if order["copy"] == 1 else f"REPRINT, copy {order['copy']}"


def top(paper: Paper, content: Content) -> None:
    """Write the order's number, its standing and the code of what was approved."""
    order = content["order"]
    draw_qr(paper, content["qr"], MARGIN_MM + WIDTH_MM - QR_MM, MARGIN_MM)
    paper.set_right_margin(MARGIN_MM + QR_MM + 3)
    what = "Back-up lens order" if order["which"] == "back-up" else "Lens order"
    paper.say(f"{what} {order['number']}", 17, bold=True)
    paper.say(f"{copy_words(order)} · {order['site_title']}", 10.5, bold=True)
    paper.say(f"Placed by {order['placed_by']}, {moment(order['placed_at'])}", 8.5)
    reference = order["supplier_reference"] or "not given yet"
    paper.say(f"Supplier’s reference: {reference}", 8.5)
    if order["cancelled_reason"]:
        paper.say(f"Cancelled: {order['cancelled_reason']}", 8.5, bold=True)
    paper.say(" ".join(content["cautions"]), 7.6, soft=True)
    paper.set_right_margin(MARGIN_MM)
    paper.set_y(max(paper.get_y(), MARGIN_MM + QR_MM) + 2)


def draw_qr(paper: Paper, text: str, left_mm: float, top_mm: float) -> None:
    """Draw a code with its quiet zone into a square of QR_MM whose corner is given."""
    code = qr.code(text)
    module_mm = QR_MM / (code.size + 2 * QUIET_MODULES)
    left = left_mm + QUIET_MODULES * module_mm
    top = top_mm + QUIET_MODULES * module_mm
    paper.set_fill_color(0, 0, 0)
    for run in code.runs:
        paper.rect(
            left + run.column * module_mm,
            top + run.row * module_mm,
            run.length * module_mm,
            module_mm,
            style="F",
        )


def eye_band(paper: Paper, content: Content) -> None:
    """Write the eye at its own edge of the paper, with the two identifiers beside it."""
    eye, person = content["eye"], content["person"]
    top, height_mm = paper.get_y(), 15.0
    right_hand = eye["code"] == "L"
    edge_mm = MARGIN_MM if eye["code"] == "R" else MARGIN_MM + WIDTH_MM
    half_disc(paper, eye["code"], top, height_mm, edge_mm)
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
    missing = paper.unprintable(written_by_people(content))
    if missing:
        codes = ", ".join(f"U+{ord(letter):04X}" for letter in missing)
        paper.say(f"Not every letter could be printed ({codes}). Read it on the screen.", 8.5)


def half_disc(paper: Paper, code: str, top_mm: float, height_mm: float, edge_mm: float) -> None:
    """Draw the filled half disc, its flat side at an edge: a left one for R, a right one for L."""
    radius_mm = height_mm / 2
    left_mm = edge_mm if code == "R" else edge_mm - radius_mm
    paper.set_fill_color(*INK)
    with paper.rect_clip(left_mm, top_mm, radius_mm, height_mm):
        paper.ellipse(edge_mm - radius_mm, top_mm, height_mm, height_mm, style="F")
    paper.set_font(BASE, "B", 13)
    paper.set_text_color(255, 255, 255)
    paper.set_xy(left_mm, top_mm)
    paper.cell(radius_mm, height_mm, code, align="C")
    paper.set_text_color(*INK)
