"""The label for the shelf: which order and which eye a checked box is for, to cut out and stick on.

It carries no name: the box stands where many pass. Code and order lead to the person.
"""

from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from webapp.desk.eyes import Eye
from webapp.desk.moments import day
from webapp.desk.numbers import short_hash
from webapp.desk.sheet_head import QR_MM, draw_qr, half_disc
from webapp.desk.sheet_paper import BASE, HAIR, MARGIN_MM, Paper
from webapp.flow.box import Checked

WIDTH_MM, HEIGHT_MM = 96.0, 44.0
INSET_MM = 3.0
DISC_MM = 11.0
SCHEME = "lampside:box:"
"""What the code says before the id of the check, so that a scan knows it for one of ours."""


class Shelf(NamedTuple):
    """What stands on the label."""

    check: Checked
    eye: Eye
    number: str
    """Of the order."""
    camp_code: str
    site_title: str


def make_pdf(shelf: Shelf, printed_at: datetime, fonts: Path) -> bytes:
    """Return the label at the top of a sheet of paper, as a PDF file.

    Args:
        shelf: what stands on it.
        printed_at: the moment of printing, UTC.
        fonts: folder of the typefaces.
    """
    foot = f"Printed {printed_at.day} {printed_at:%b %Y, %H:%M} UTC, void if not current"
    paper = Paper(fonts, f"Box for order {shelf.number}", foot, shelf.camp_code)
    paper.set_title(f"Lampside box for order {shelf.number}")
    paper.set_draw_color(*HAIR)
    paper.rect(MARGIN_MM, MARGIN_MM, WIDTH_MM, HEIGHT_MM)
    top_mm = MARGIN_MM + INSET_MM
    # The eye stands at its own edge, the code at the other one.
    is_right = shelf.eye.code == "R"
    draw_qr(
        paper, SCHEME + shelf.check.check_id,
        MARGIN_MM + (WIDTH_MM - QR_MM if is_right else 0), MARGIN_MM + 1,
    )  # fmt: skip
    half_disc(paper, shelf.eye.code, top_mm, 15.0, MARGIN_MM + (0 if is_right else WIDTH_MM))
    _lines(paper, shelf, top_mm)
    paper.set_y(MARGIN_MM + HEIGHT_MM + 6)
    paper.say(
        "Cut out and stick on the box of this serial number, on no other one. Before the box is "
        "opened it is looked at again: the label on the shelf proves nothing about what is inside.",
        9,
    )
    return paper.finished()


def _lines(paper: Paper, shelf: Shelf, top_mm: float) -> None:
    """Write the lines of the label, the eye first and largest."""
    rows = {row["field"]: row["first"] for row in shelf.check.answer["rows"]}
    lines = (
        (f"{shelf.eye.word.upper()}  {shelf.eye.trade}", 15.0, 7.0),
        (f"{shelf.camp_code} · {shelf.site_title}", 10.0, 5.0),
        (f"Order {shelf.number}", 10.0, 5.0),
        (f"SN {rows['serial']}", 10.0, 5.0),
        (f"Lot {rows['lot']}", 8.5, 4.4),
        (f"Use by {day(rows['expiry_date'])}", 8.5, 4.4),
        (f"Check {short_hash(shelf.check.check_id)}", 8.5, 4.4),
    )
    is_right = shelf.eye.code == "R"
    left_mm = MARGIN_MM + (DISC_MM if is_right else QR_MM)
    paper.set_y(top_mm)
    for place, (text, size_pt, line_mm) in enumerate(lines):
        paper.set_x(left_mm)
        paper.set_font(BASE, "B" if place < 4 else "", size_pt)
        paper.cell(
            WIDTH_MM - QR_MM - DISC_MM, line_mm, text, align="L" if is_right else "R",
            new_x="LMARGIN", new_y="NEXT",
        )  # fmt: skip
