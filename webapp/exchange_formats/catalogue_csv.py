"""A lens catalogue as CSV (RFC 4180, UTF-8): every error by row and column, all at once.

A table with one error gives no model: whoever corrects it sees all that is to be corrected, and
nobody plans with half a catalogue. The columns stand in ``catalogue_columns``.
"""

import csv
import io
from typing import Any, NamedTuple

from webapp.exchange_formats.catalogue_columns import COLUMNS, MAY_BE_LEFT_OUT, value_of
from webapp.records.errors import BadRecord
from webapp.records.kinds_rules import RULES

LARGEST_BYTES = 200_000
MOST_MODELS = 60
"""A catalogue record holds no more."""

COLUMN_OF = {field: column for column, field in COLUMNS.items()}


class Problem(NamedTuple):
    """One thing that is wrong."""

    row: int
    """As a spreadsheet counts: 1 is the row of the names; 0 for the file as a whole."""
    column: str
    """Empty for the row as a whole."""
    message: str

    def __str__(self) -> str:
        """Return it as a line: "row 7, column sphere_step_D: ..."."""
        place = f"row {self.row}" if self.row else "the file"
        return f"{place}{', column ' + self.column if self.column else ''}: {self.message}"


class Table(NamedTuple):
    """What a file holds: models, or what is wrong; never both."""

    models: list[dict[str, Any]]
    problems: list[Problem]


def read(data: bytes) -> Table:
    """Return the models of a file as a catalogue records them, or every problem."""
    try:
        rows = _rows(data)
    except BadRecord as bad:
        return Table([], [Problem(0, "", bad.message)])
    problems = _header_problems(rows[0])
    if problems:
        return Table([], problems)
    models: list[dict[str, Any]] = []
    named: dict[str, int] = {}
    numbered: dict[str, int] = {}
    for number, cells in enumerate(rows[1:], start=2):
        # A row without any text is the empty end of a spreadsheet.
        if any(cell.strip() for cell in cells):
            model, wrong = _model(number, rows[0], cells)
            problems += wrong + _twice(model.get("model"), number, named)
            problems += _of_another(model.get("gtins") or [], number, numbered)
            models.append(model)
    if not models:
        problems.append(Problem(0, "", "There is no model below the row of names."))
    return Table([] if problems else models, problems)


def _rows(data: bytes) -> list[list[str]]:
    """Return the cells of every row. Raises: BadRecord when it is no CSV of a bearable size."""
    if len(data) > LARGEST_BYTES:
        raise BadRecord("file", f"It is larger than {LARGEST_BYTES // 1000} kB: no catalogue is.")
    try:
        text = data.decode("utf-8-sig")
        rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    except UnicodeDecodeError as error:
        raise BadRecord("file", "It is not UTF-8. Save it as CSV in UTF-8.") from error
    except csv.Error as error:
        raise BadRecord("file", f"It is not CSV with commas and double quotes: {error}.") from error
    if not rows:
        raise BadRecord("file", "It is empty.")
    if sum(1 for cells in rows if any(cells)) > MOST_MODELS + 1:
        raise BadRecord("file", f"It holds more than {MOST_MODELS} models.")
    return rows


def _header_problems(names: list[str]) -> list[Problem]:
    """Return what is wrong with the row of names: each column once, none unknown."""
    if len(names) == 1 and ";" in names[0]:
        return [Problem(1, "", "Columns are separated by commas, not by semicolons.")]
    problems = [
        Problem(1, name[:60] or "(no name)", "There is no such column.")
        for name in names
        if name not in COLUMNS
    ]
    for name in COLUMNS:
        if names.count(name) != 1 and not (name in MAY_BE_LEFT_OUT and name not in names):
            what = "is missing" if name not in names else "is there more than once"
            problems.append(Problem(1, name, f"This column {what}."))
    return problems


def _model(number: int, names: list[str], cells: list[str]) -> tuple[dict[str, Any], list[Problem]]:
    """Return one row as far as it can be read, and what is wrong with it."""
    if len(cells) != len(names):
        what = f"It has {len(cells)} cells where the row of names has {len(names)}."
        return {}, [Problem(number, "", what)]
    model: dict[str, Any] = {}
    problems = []
    for name, text in zip(names, cells, strict=True):
        try:
            value = value_of(name, text)
            if value is not None or name not in MAY_BE_LEFT_OUT:
                model[COLUMNS[name]] = value
        except BadRecord as bad:
            problems.append(Problem(number, name, bad.message))
    broken = None if problems else RULES["model_steps"](model, {})
    if broken is not None:
        problems.append(Problem(number, COLUMN_OF[broken[0]], broken[1]))
    return model, problems


def _of_another(gtins: list[str], number: int, numbered: dict[str, int]) -> list[Problem]:
    """Return a problem for each product number that stood in an earlier row; note the others."""
    firsts = {gtin: numbered.setdefault(gtin, number) for gtin in gtins}
    return [
        Problem(number, COLUMN_OF["gtins"], f"{gtin} is of the model in row {first} already.")
        for gtin, first in firsts.items()
        if first != number
    ]


def _twice(model: object, number: int, named: dict[str, int]) -> list[Problem]:
    """Return a problem when a name was there before, however it is capitalised; note it."""
    if not isinstance(model, str):
        return []
    first = named.setdefault(model.casefold(), number)
    if first == number:
        return []
    return [Problem(number, "model", f"{model} is in row {first} already.")]
