"""The list of a day on paper, with a sheet for each eye that is ready: lens, box, how it lies.

Each sheet carries a code that says what it rests on: scanned in theatre, it tells whether the paper
is still right (H45). The check of the lens goes by the screen, never by paper.
"""

from datetime import datetime
from pathlib import Path
from typing import Any, NamedTuple

from webapp.desk.eyes import eye_of
from webapp.desk.lens_words import lens_line, lens_sentence
from webapp.desk.moments import born, day
from webapp.desk.numbers import short_hash
from webapp.desk.sheet_content import DEMO_CAUTION
from webapp.desk.sheet_head import QR_MM, draw_qr, half_disc
from webapp.desk.sheet_paper import BASE, INK, MARGIN_MM, WIDTH_MM, Paper, table
from webapp.flow import theatre_list
from webapp.flow.theatre_list import Listed

DISC_MM, SHEET_MM, OTHER_LENS_MM = 15.0, 118.0, 10.0
RADIUS_MM, AROUND_MM = 13.0, 22.0
NOT_BY_PAPER = (
    "This paper releases nothing. The lens is checked in theatre on the screen, by scan and by two "
    "people; scan the code of each sheet first: it tells whether the paper is still right."
)


class Sheet(NamedTuple):
    """One eye of the list, and what the core says of it."""

    one: Listed
    asked: dict[str, Any]
    """The core's answer for theatre."""


def sheet_of(one: Listed) -> Sheet:
    """Return one eye of a list with the core's answer about it."""
    return Sheet(one, theatre_list.asked(one))


def make_pdf(on_day: str, sheets: list[Sheet], printed_at: datetime, fonts: Path) -> bytes:
    """Return the list of a day and the sheets of its ready eyes, as a PDF file.

    Args:
        on_day: ``YYYY-MM-DD``.
        sheets: the eyes of that day.
        printed_at: the moment of printing, UTC.
        fonts: folder of the typefaces.
    """
    foot = f"Printed {printed_at.day} {printed_at:%b %Y, %H:%M} UTC, void if not current"
    head = f"Theatre, {day(on_day)}"
    typed = "".join(each.one.name + each.one.camp_code + _place(each.one) for each in sheets)
    paper = Paper(fonts, head, foot, typed)
    paper.set_title(f"Lampside theatre {on_day}")
    paper.say(head, 17, bold=True)
    paper.say(NOT_BY_PAPER, 9)
    if theatre_list.is_demo():
        paper.say(DEMO_CAUTION, 9, bold=True)
    _list(paper, sheets)
    for each in sheets:
        if each.one.code is not None and not each.asked["stops"]:
            _sheet(paper, each)
    return paper.finished()


def _list(paper: Paper, sheets: list[Sheet]) -> None:
    """Write the list, one line an eye; an eye that is not ready says why."""
    rows: list[tuple[str, ...]] = [
        (
            f"{each.one.name}, {each.one.camp_code}",
            f"{eye_of(each.one.eye).word} {eye_of(each.one.eye).trade}",
            _place(each.one),
            _standing(each),
        )
        for each in sheets
    ]
    paper.heading(f"{len(rows)} {'eye' if len(rows) == 1 else 'eyes'}")
    if rows:
        table(paper, (58, 26, 38, 64), ("Person", "Eye", "Place", "Lens"), rows)


def _place(one: Listed) -> str:
    listed = one.theatre["listed"]
    return (listed["place"] if listed else None) or "not said"


def _standing(each: Sheet) -> str:
    """Return the lens of a ready eye; why another one is not ready."""
    if each.asked["stops"]:
        return "STOP. " + " ".join(stop["title"] + "." for stop in each.asked["stops"])
    return f"{each.one.lens['model']}, {lens_line(each.one.lens)}; SN {each.one.box['serial']}"  # type: ignore[index]


def _sheet(paper: Paper, each: Sheet) -> None:
    """Write the sheet of one eye, on a page with room for all of it."""
    one = each.one
    height_mm = SHEET_MM + (0 if one.backup is None else OTHER_LENS_MM)
    if paper.get_y() + height_mm > paper.page_break_trigger:
        paper.add_page()
    paper.ln(3)
    paper.rule()
    top_mm, is_right = paper.get_y() + 1, one.eye == "R"
    draw_qr(paper, str(one.code), MARGIN_MM + (WIDTH_MM - QR_MM if is_right else 0), top_mm)
    half_disc(paper, one.eye, top_mm, DISC_MM, MARGIN_MM + (0 if is_right else WIDTH_MM))
    _head(paper, one, top_mm)
    paper.set_y(top_mm + QR_MM + 1)
    paper.say(lens_sentence(one.eye, one.lens), 12, bold=True)
    box = one.box or {}
    paper.say(
        f"Box released: serial number {box['serial']}, lot {box['lot']}, use by "
        f"{day(box['expiry_date'])}. Check of the box {short_hash(box['id'])}.",
        9,
    )
    if one.backup is not None:
        paper.say(one.backup, 9, bold=True)
    if one.lens["axis_deg"] is not None:
        _views(paper, each.asked["views"])
    for said in each.asked["cautions"]:
        paper.say(f"\N{BULLET} {said['text']}", 8.2)
    paper.say(each.asked["first"], 8.2, soft=True)


def _head(paper: Paper, one: Listed, top_mm: float) -> None:
    """Write eye, name and the second identifier beside the mark of the eye."""
    eye, is_right = eye_of(one.eye), one.eye == "R"
    lines = (
        (f"{eye.word.upper()}  {eye.trade}", 15.0, 7.0),
        (one.name, 12.0, 5.6),
        (f"{born(one.birth_date, one.birth_year)} · {one.camp_code} · {one.site_title}", 9.0, 4.6),
        (f"Order {one.number}", 9.0, 4.6),
    )
    paper.set_y(top_mm)
    for place, (text, size_pt, line_mm) in enumerate(lines):
        paper.set_x(MARGIN_MM + (DISC_MM if is_right else QR_MM))
        paper.set_font(BASE, "B" if place < 2 else "", size_pt)
        paper.cell(
            WIDTH_MM - QR_MM - DISC_MM, line_mm, text, align="L" if is_right else "R",
            new_x="LMARGIN", new_y="NEXT",
        )  # fmt: skip


def _views(paper: Paper, views: list[dict[str, Any]]) -> None:
    """Draw how the axis lies from both seats, each with its sentence."""
    top_mm, width_mm = paper.get_y() + 1, WIDTH_MM / 2
    for place, view in enumerate(views):
        left_mm = MARGIN_MM + place * width_mm
        _draw(paper, view, left_mm + AROUND_MM, top_mm + AROUND_MM)
        seat = "Sitting at the head" if view["seat"] == "head" else "Sitting at the temple"
        paper.set_xy(left_mm + 2 * AROUND_MM, top_mm + AROUND_MM - 8)
        paper.set_font(BASE, "", 8.5)
        paper.multi_cell(width_mm - 2 * AROUND_MM - 2, 4, f"{seat}: {view['text']}", align="L")
    paper.set_y(top_mm + 2 * AROUND_MM + 1)


def _draw(paper: Paper, view: dict[str, Any], x_mm: float, y_mm: float) -> None:
    """Draw the limbus, the four words around it and the axis, by the core's coordinates."""
    paper.set_draw_color(*INK)
    paper.set_line_width(0.3)
    paper.ellipse(x_mm - RADIUS_MM, y_mm - RADIUS_MM, 2 * RADIUS_MM, 2 * RADIUS_MM)
    (one, other) = view["axis"]
    paper.set_line_width(1.0)
    paper.line(*_at(one, x_mm, y_mm, 0.9), *_at(other, x_mm, y_mm, 0.9))
    paper.set_font(BASE, "", 7.5)
    for word in view["words"]:
        wx_mm, wy_mm = _at(word["at"], x_mm, y_mm, 1.38)
        paper.set_xy(wx_mm - 8, wy_mm - 2)
        paper.cell(16, 4, word["word"], align="C")


def _at(point: list[int], x_mm: float, y_mm: float, out: float) -> tuple[float, float]:
    """Return a point of the drawing on the paper; ``out`` in radii of the limbus."""
    scale_mm = RADIUS_MM * out / 1000
    return x_mm + point[0] * scale_mm, y_mm + point[1] * scale_mm
