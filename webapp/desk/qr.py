"""A QR code as horizontal runs of dark modules, ready to be drawn as rectangles."""

from typing import NamedTuple

import segno


class Run(NamedTuple):
    """Dark modules side by side in one row."""

    row: int
    column: int
    length: int


class Code(NamedTuple):
    """A code without its quiet zone, which the drawing leaves free."""

    size: int
    runs: list[Run]


def code(text: str) -> Code:
    """Return the runs of ``text`` at error level M (about 15 % of the code may be spoilt)."""
    matrix = segno.make(text, error="m", micro=False).matrix
    runs = [run for row, modules in enumerate(matrix) for run in _runs(row, modules)]
    return Code(size=len(matrix), runs=runs)


def _runs(row: int, modules: bytearray) -> list[Run]:
    """Return the runs of one row."""
    runs: list[Run] = []
    for column, dark in enumerate(modules):
        if not dark:
            continue
        if runs and runs[-1].column + runs[-1].length == column:
            runs[-1] = runs[-1]._replace(length=runs[-1].length + 1)
        else:
            runs.append(Run(row, column, 1))
    return runs
