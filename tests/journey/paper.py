"""The square code on a printed page, taken from what the page draws, to be held into view."""

import io
import re
from collections import Counter

import pypdf

# A filled rectangle as a page's content says it (ISO 32000, operators re and f).
NUMBER = rb"(-?[0-9.]+)"
FILLED = re.compile(rb" ".join([NUMBER] * 4) + rb" re f\b")


def code_on(pdf: bytes, page: int) -> list[str]:
    """Return the modules of the code that a page draws, row by row, dark as 1.

    Args:
        pdf: the paper.
        page: from 0, or -1 for the last one; the code is made of rectangles as high as one module.
    """
    content = pypdf.PdfReader(io.BytesIO(pdf)).pages[page].get_contents()
    assert content is not None, "an empty page"
    drawn = [[float(one) for one in found] for found in FILLED.findall(content.get_data())]
    heights = Counter(round(abs(height), 2) for _, _, _, height in drawn)
    module = heights.most_common(1)[0][0]
    runs = [one for one in drawn if abs(abs(one[3]) - module) < module / 10]
    left, top = min(x for x, _, _, _ in runs), max(y for _, y, _, _ in runs)
    dark = {
        (round((top - y) / module), round((x - left) / module) + step)
        for x, y, width, _ in runs
        for step in range(round(width / module))
    }
    size = 1 + max(max(row, column) for row, column in dark)
    return ["".join("01"[(row, one) in dark] for one in range(size)) for row in range(size)]
