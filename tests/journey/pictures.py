"""Pictures of the codes in ``tests/vectors/matrix_codes.json``, as a camera might take them."""

import json
import random
import struct
import zlib
from pathlib import Path
from typing import Any

VECTORS = Path(__file__).parents[1] / "vectors" / "matrix_codes.json"
CODES: dict[str, dict[str, Any]] = {
    one["name"]: one for one in json.loads(VECTORS.read_text(encoding="utf-8"))["codes"]
}


def picture(name: str, width: int = 1280, height: int = 720, module: int = 8) -> bytes:
    """Return a PNG of a code somewhere on a grey, grainy ground.

    Args:
        name: of the code.
        width: of the picture, in pixels.
        height: of the picture, in pixels.
        module: pixels of one module of the code.
    """
    return picture_of(modules(name), width, height, module)


def picture_of(bits: list[str], width: int = 1280, height: int = 720, module: int = 8) -> bytes:
    """Return a PNG of a code whose modules are given row by row, dark as 1."""
    return png(width, height, pixels(bits, width, height, module))


def y4m(name: str, width: int = 1280, height: int = 720, module: int = 8) -> bytes:
    """Return the same as one frame of film, which Chromium takes for a camera and repeats."""
    head = f"YUV4MPEG2 W{width} H{height} F10:1 Ip A1:1 C420jpeg\n".encode()
    light = b"".join(bytes(row) for row in pixels(modules(name), width, height, module))
    return head + b"FRAME\n" + light + bytes([128]) * (width * height // 2)


def modules(name: str) -> list[str]:
    """Return a code's modules, row by row, dark as 1."""
    code = CODES[name]
    return [f"{int(row, 16):0{4 * len(row)}b}"[: code["modules"]] for row in code["rows"]]


def pixels(bits: list[str], width: int, height: int, module: int) -> list[bytearray]:
    """Return the grey values of a picture, row by row."""
    size = len(bits)
    grain = random.Random("".join(bits))  # noqa: S311 - grain of a picture
    left, top = width // 2 - size * module // 2, height // 2 - size * module // 2
    rows = [bytearray(150 + grain.randrange(20) for _ in range(width)) for _ in range(height)]
    quiet = 2 * module
    for y in range(top - quiet, top + size * module + quiet):
        for x in range(left - quiet, left + size * module + quiet):
            row, column = (y - top) // module, (x - left) // module
            dark = 0 <= row < size and 0 <= column < size and bits[row][column] == "1"
            rows[y][x] = (30 if dark else 205) + grain.randrange(25)
    return rows


def png(width: int, height: int, rows: list[bytearray]) -> bytes:
    """Return grey pixels as a PNG (W3C PNG specification, from memory)."""
    raw = b"".join(b"\0" + bytes(row) for row in rows)
    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    parts = ((b"IHDR", head), (b"IDAT", zlib.compress(raw, 1)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunk(kind, data) for kind, data in parts)


def chunk(kind: bytes, data: bytes) -> bytes:
    """Return one part of a PNG."""
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
