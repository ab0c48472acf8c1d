"""The paper of an order sheet: A4, typefaces for every script we carry, repeated head and foot.

No links, scripts, actions or attached files are ever written: only text, lines and fills.
"""

from pathlib import Path
from typing import Any

from fpdf import FPDF
from fpdf.enums import XPos, YPos
from fpdf.fonts import TTFFont
from fpdf.output import OutputProducer, PDFCatalog

MARGIN_MM = 12.0
PAPER_WIDTH_MM = 210.0
WIDTH_MM = PAPER_WIDTH_MM - 2 * MARGIN_MM
BASE = "NotoSans"
# Asked, in this order, for the letters that the base typeface lacks.
FALLBACKS = ("NotoSansDevanagari", "NotoNaskhArabic")
INK = (22, 37, 44)
SOFT = (74, 90, 97)
HAIR = (190, 182, 165)


class StillProducer(OutputProducer):
    """Writes the file without the place to open at, which the library puts in: it is an action."""

    def _finalize_catalog(self, catalog_obj: PDFCatalog, *others: Any, **named: Any) -> None:  # noqa: ANN401 - passed on as they come
        super()._finalize_catalog(catalog_obj, *others, **named)
        catalog_obj.open_action = None


class Paper(FPDF):
    """A sheet whose head names the order and whose foot says when it was printed.

    Args:
        fonts: folder of the typefaces.
        head: what pages after the first repeat.
        foot: what stands at the foot of each page.
        name: what people wrote themselves; decides which typefaces are needed.
    """

    def __init__(self, fonts: Path, head: str, foot: str, name: str) -> None:
        super().__init__(orientation="portrait", unit="mm", format="A4")
        self.head = head
        self.foot = foot
        self.set_margins(MARGIN_MM, MARGIN_MM, MARGIN_MM)
        self.set_auto_page_break(True, margin=13)
        self._add_family(fonts, BASE)
        if self.unprintable(name):
            for family in FALLBACKS:
                self._add_family(fonts, family)
            self.set_fallback_fonts(list(FALLBACKS), exact_match=True)
        self.set_text_shaping(True)
        self.set_lang("en")
        self.add_page()

    def _add_family(self, fonts: Path, family: str) -> None:
        self.add_font(family, "", fonts / f"{family}-Regular.ttf")
        self.add_font(family, "B", fonts / f"{family}-Bold.ttf")

    def finished(self) -> bytes:
        """Return the file."""
        return bytes(self.output(output_producer_class=StillProducer))

    def header(self) -> None:
        """Write the running head on every page but the first, which has its own."""
        if self.page_no() > 1:
            self.say(self.head, 8, bold=True)
            self.rule()

    def footer(self) -> None:
        """Write when this was printed, that it is void if not current, and the page's number."""
        self.set_y(-11)
        self.set_text_color(*SOFT)
        self.set_font(BASE, "", 7.5)
        self.cell(WIDTH_MM - 24, 4, self.foot)
        self.cell(24, 4, f"page {self.page_no()} of {{nb}}", align="R")
        self.set_text_color(*INK)

    def say(self, text: str, size_pt: float, bold: bool = False, soft: bool = False) -> None:
        """Write a paragraph over the full width."""
        self.set_font(BASE, "B" if bold else "", size_pt)
        self.set_text_color(*(SOFT if soft else INK))
        self.multi_cell(
            self.epw, size_pt * 0.46, text, align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT
        )
        self.set_text_color(*INK)

    def heading(self, text: str) -> None:
        """Write a section's heading over a hairline."""
        self.ln(1.1)
        self.say(text, 9.5, bold=True)
        self.rule()

    def rule(self) -> None:
        """Draw a hairline over the full width."""
        self.set_draw_color(*HAIR)
        self.set_line_width(0.2)
        self.line(self.l_margin, self.get_y() + 0.4, self.l_margin + self.epw, self.get_y() + 0.4)
        self.ln(1.2)

    def unprintable(self, text: str) -> list[str]:
        """Return the characters of ``text`` that no typeface here can draw."""
        ours = [font for font in self.fonts.values() if isinstance(font, TTFFont)]
        known = {code for font in ours for code in font.cmap}
        return sorted({letter for letter in text if ord(letter) not in known and letter != "\n"})


def table(
    paper: Paper, widths_mm: tuple[float, ...], head: tuple[str, ...], rows: list[tuple[str, ...]]
) -> None:
    """Write a table with hairlines between rows; a page break repeats its head.

    Args:
        paper: the sheet to write on.
        widths_mm: width of each column [mm].
        head: column heads.
        rows: one text a column.
    """
    paper.set_font(BASE, "", 7.4)
    paper.set_draw_color(*HAIR)
    paper.set_fill_color(255, 255, 255)
    with paper.table(
        borders_layout="HORIZONTAL_LINES",
        col_widths=widths_mm,
        width=sum(widths_mm),
        align="LEFT",
        text_align="LEFT",
        line_height=3.4,
        padding=(0.3, 1, 0.3, 0),
    ) as grid:
        for line in (head, *rows):
            row = grid.row()
            for text in line:
                row.cell(text)
