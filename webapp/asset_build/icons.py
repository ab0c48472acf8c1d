"""The app's picture at the sizes a phone asks for: half an eye beside the slit of light.

Drawn from the figures of static/icons/lampside.svg by counting points inside each shape, so that
no picture file is kept that could drift away from the drawing.
"""

import struct
import zlib
from typing import NamedTuple

# A square of 64 units, as in lampside.svg.
SQUARE = 64
GROUND = (16, 20, 28)
EYE = (232, 236, 240)
SLIT = (255, 196, 84)
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
    """Return the picture as a PNG file."""
    side = picture.side_px
    rows = b"".join(b"\0" + _row(y, picture) for y in range(side))
    header = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    chunks = ((b"IHDR", header), (b"IDAT", zlib.compress(rows, 9)), (b"IEND", b""))
    return PNG_SIGNATURE + b"".join(_chunk(name, content) for name, content in chunks)


def _chunk(name: bytes, content: bytes) -> bytes:
    checksum = zlib.crc32(name + content)
    return struct.pack(">I", len(content)) + name + content + struct.pack(">I", checksum)


def _row(y_px: int, picture: Picture) -> bytes:
    """Return one line of pixels; outside the drawing's own height it is all ground."""
    ys = [_unit(y_px + (k + 0.5) / POINTS, picture) for k in range(POINTS)]
    if max(ys) < 12 or min(ys) > 52:
        return bytes(GROUND) * picture.side_px
    return b"".join(_pixel(x, ys, picture) for x in range(picture.side_px))


def _pixel(x_px: int, ys: list[float], picture: Picture) -> bytes:
    xs = [_unit(x_px + (k + 0.5) / POINTS, picture) for k in range(POINTS)]
    colours = [_colour(x, y) for x in xs for y in ys]
    return bytes(sum(channel) // len(colours) for channel in zip(*colours, strict=True))


def _unit(px: float, picture: Picture) -> float:
    """Return a place in the drawing's units; a smaller scale leaves a wider margin."""
    middle = SQUARE / 2
    return middle + (px / picture.side_px * SQUARE - middle) / picture.scale


def _colour(x: float, y: float) -> tuple[int, int, int]:
    if x <= 36 and (x - 36) ** 2 + (y - 32) ** 2 <= 20**2:
        return EYE
    if 43 <= x <= 48 and 12 <= y <= 52:
        return SLIT
    return GROUND
