"""The app's picture at the sizes a phone asks for: half an eye beside the slit of light.

Drawn from the figures of static/icons/lampside.svg by counting points inside each shape, so that
no picture file is kept that could drift away from the drawing.
"""

import struct
import zlib
from typing import NamedTuple

Colour = tuple[int, int, int]

# A square of 64 units, as in lampside.svg.
SQUARE = 64
GROUND = (16, 20, 28)
EYE = (232, 236, 240)
SLIT = (255, 196, 84)
INDEXED = 3  # PNG colour type
POINTS = 4  # sampled along each side of a pixel
PNG_SIGNATURE = b"\x89PNG\r\n\x1a\n"


class Picture(NamedTuple):
    """One picture: its name, its side [pixels], and how large the drawing is within it."""

    name: str
    side_px: int
    scale: float


# A maskable picture may lose everything outside the middle 80 % (W3C manifest, icon masks).
PICTURES = (
    Picture("icon-192.png", 192, 1.0),
    Picture("icon-512.png", 512, 1.0),
    Picture("icon-maskable-512.png", 512, 0.9),
)


def png(picture: Picture) -> bytes:
    """Return the picture as a PNG file; few colours occur, so each pixel names one of a list."""
    side = picture.side_px
    rows = [_row(y, picture) for y in range(side)]
    palette = sorted({colour for row in rows for colour in row})
    number = {colour: index for index, colour in enumerate(palette)}
    lines = b"".join(b"\0" + bytes(number[colour] for colour in row) for row in rows)
    header = struct.pack(">IIBBBBB", side, side, 8, INDEXED, 0, 0, 0)
    colours = bytes(channel for colour in palette for channel in colour)
    chunks = [(b"IHDR", header), (b"PLTE", colours), (b"IDAT", zlib.compress(lines, 9))]
    return PNG_SIGNATURE + b"".join(_chunk(*chunk) for chunk in [*chunks, (b"IEND", b"")])


def _chunk(name: bytes, content: bytes) -> bytes:
    checksum = zlib.crc32(name + content)
    return struct.pack(">I", len(content)) + name + content + struct.pack(">I", checksum)


def _row(y_px: int, picture: Picture) -> list[Colour]:
    """Return one line of pixels; outside the drawing's own height it is all ground."""
    ys = [_unit(y_px + (k + 0.5) / POINTS, picture) for k in range(POINTS)]
    if max(ys) < 12 or min(ys) > 52:
        return [GROUND] * picture.side_px
    return [_pixel(x, ys, picture) for x in range(picture.side_px)]


def _pixel(x_px: int, ys: list[float], picture: Picture) -> Colour:
    xs = [_unit(x_px + (k + 0.5) / POINTS, picture) for k in range(POINTS)]
    corners = {_colour(x, y) for x in (xs[0], xs[-1]) for y in (ys[0], ys[-1])}
    if len(corners) == 1:
        return corners.pop()
    colours = [_colour(x, y) for x in xs for y in ys]
    red, green, blue = (sum(channel) // len(colours) for channel in zip(*colours, strict=True))
    return red, green, blue


def _unit(px: float, picture: Picture) -> float:
    """Return a place in the drawing's units; a smaller scale leaves a wider margin."""
    middle = SQUARE / 2
    return middle + (px / picture.side_px * SQUARE - middle) / picture.scale


def _colour(x: float, y: float) -> Colour:
    if x <= 36 and (x - 36) ** 2 + (y - 32) ** 2 <= 20**2:
        return EYE
    if 43 <= x <= 48 and 12 <= y <= 52:
        return SLIT
    return GROUND
