"""The columns of a lens catalogue as a CSV table, and how each cell is a recorded value.

Every number is written with a decimal point in the unit that the column's name ends with, and
becomes a whole number of recorded units by digit arithmetic, never by way of a float.

column             recorded as       what it holds
model              model             name on the label, each once
toric              toric             yes or no
sphere_min_D       sphere_min_cD     most negative sphere, D
sphere_max_D       sphere_max_cD     most positive sphere, D
sphere_step_D      sphere_step_cD    step between spheres, D
cylinder_min_D     cylinder_min_cD   most negative cylinder, D; 0 for a spherical model
cylinder_max_D     cylinder_max_cD   least negative cylinder, D; 0 for a spherical model
cylinder_step_D    cylinder_step_cD  step between cylinders, D; 0 for a spherical model
axis_step_deg      axis_step_deg     step between axes; 0 for a spherical model
lengths_mm         lengths_um        overall lengths, ascending, with spaces between: 12.25 12.50
optic_mm           optic_um          optic diameter, mm
offset_um          offset_um         position against the vault, + towards the natural lens
index              index_e4          refractive index of the material, or empty
labelled_power     labelled_power    what the labelled power means, or empty: then no first order
product_numbers    gtins             GTINs of 8, 12, 13 or 14 digits with spaces between, or empty;
                                     the column may be left out
"""

import unicodedata
from collections.abc import Callable
from typing import Any

from webapp.exchange_formats.safe_csv import unguarded
from webapp.records.errors import BadRecord
from webapp.records.kinds_table import SHAPES
from webapp.records.kinds_values import value_problem
from webapp.records.numbers import parse_scaled
from webapp.records.rules.reference import is_gtin

COLUMNS = {
    "model": "model",
    "toric": "toric",
    "sphere_min_D": "sphere_min_cD",
    "sphere_max_D": "sphere_max_cD",
    "sphere_step_D": "sphere_step_cD",
    "cylinder_min_D": "cylinder_min_cD",
    "cylinder_max_D": "cylinder_max_cD",
    "cylinder_step_D": "cylinder_step_cD",
    "axis_step_deg": "axis_step_deg",
    "lengths_mm": "lengths_um",
    "optic_mm": "optic_um",
    "offset_um": "offset_um",
    "index": "index_e4",
    "labelled_power": "labelled_power",
    "product_numbers": "gtins",
}
MAY_BE_LEFT_OUT = ("product_numbers",)
FIELDS = SHAPES["model"].fields
MAY_BE_EMPTY = ("index", "labelled_power", "product_numbers")
GTIN_DIGITS = (8, 12, 13, 14)
YES_NO = {"yes": 1, "no": 0}


def value_of(column: str, text: str) -> Any:  # noqa: ANN401 - as recorded: number, text, list, None
    """Return what a cell records. Raises: BadRecord, its message for the person."""
    cell = unicodedata.normalize("NFC", text.strip())
    if not cell and column in MAY_BE_EMPTY:
        return None
    if not cell:
        raise BadRecord(column, "The cell is empty.")
    return READERS.get(column, _number)(column, cell)


def _number(column: str, cell: str) -> int:
    return _whole(column, FIELDS[COLUMNS[column]], cell)


def _whole(column: str, field: dict[str, Any], cell: str) -> int:
    if "," in cell:
        raise BadRecord(column, "Write a decimal point, not a comma.")
    value = parse_scaled(cell, field["scale"], field["shown_decimals"], field["step"], column)
    _check(column, field, value)
    return value


def _lengths(column: str, cell: str) -> list[int]:
    field = FIELDS["lengths_um"]
    lengths_um = [_whole(column, field["items"], part) for part in cell.split()]
    if sorted(set(lengths_um)) != lengths_um:
        raise BadRecord(column, "Lengths must be in ascending order, each once.")
    if len(lengths_um) > field["max_items"]:
        raise BadRecord(column, f"At most {field['max_items']} lengths.")
    return lengths_um


def _gtins(column: str, cell: str) -> list[str]:
    """Return product numbers of 14 digits, sorted; a spreadsheet may have eaten zeros in front."""
    gtins = []
    for part in cell.split():
        gtin = part.zfill(14)
        if len(part) not in GTIN_DIGITS or not is_gtin(gtin):
            raise BadRecord(
                column,
                f"{part[:20]} is no product number: it needs 8, 12, 13 or 14 digits, the last of "
                "which checks the others. Compare it with the maker’s list.",
            )
        gtins.append(gtin)
    if len(set(gtins)) != len(gtins):
        raise BadRecord(column, "A product number stands here twice. Keep one.")
    if len(gtins) > FIELDS["gtins"]["max_items"]:
        raise BadRecord(column, f"At most {FIELDS['gtins']['max_items']} product numbers.")
    return sorted(gtins)


def _text(column: str, cell: str) -> str:
    plain = unguarded(cell)
    _check(column, FIELDS[COLUMNS[column]], plain)
    return plain


def _yes_no(column: str, cell: str) -> int:
    if cell not in YES_NO:
        raise BadRecord(column, "Write yes or no.")
    return YES_NO[cell]


def _check(column: str, field: dict[str, Any], value: object) -> None:
    problem = value_problem(field, value)
    if problem is not None:
        raise BadRecord(column, problem)


READERS: dict[str, Callable[[str, str], Any]] = {
    "model": _text,
    "toric": _yes_no,
    "lengths_mm": _lengths,
    "labelled_power": _text,
    "product_numbers": _gtins,
}
