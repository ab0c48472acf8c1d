"""A lens catalogue as CSV: what is read, what is refused and where, and what is written.

The format is RFC 4180; the figures are worked by hand from the table's own texts.
"""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp import starting_point
from webapp.exchange_formats import catalogue_csv, catalogue_csv_writing
from webapp.records.kinds import check_body

NAMES = (
    "model,toric,sphere_min_D,sphere_max_D,sphere_step_D,cylinder_min_D,cylinder_max_D,"
    "cylinder_step_D,axis_step_deg,lengths_mm,optic_mm,offset_um,index,labelled_power"
)
PLAIN = "Model P,no,-18.00,-3,0.5,0,0,0,0,12.1 12.6 13.1,5.8,-50,1.45,Thin lens in aqueous"
TORIC = 'Model T,yes,\u221218,"+3.00",0.25,-6,-0.5,0.5,1,12.60,5.80,0,,"In aqueous, thin ""lens"""'
PLACE = {"kind": "catalogue.adopted", "person": None, "eye": None}


def table(*rows: str, names: str = NAMES, end: str = "\r\n") -> bytes:
    """Return a file of these rows."""
    return end.join((names, *rows, "")).encode()


def complaints(data: bytes) -> list[str]:
    """Return every problem of a file as lines."""
    found = catalogue_csv.read(data)
    assert found.problems and not found.models
    return [str(problem) for problem in found.problems]


def changed(**cells: str) -> str:
    """Return the plain model's row with some cells changed."""
    whole = dict(zip(NAMES.split(","), PLAIN.split(","), strict=True)) | cells
    text = io.StringIO(newline="")
    csv.writer(text).writerow(whole.values())
    return text.getvalue().removesuffix("\r\n")


class TestRead:
    """Good tables."""

    @pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"], ids=["plain", "byte order mark"])
    @pytest.mark.parametrize("end", ["\r\n", "\n"], ids=["crlf", "lf"])
    def test_every_cell_is_recorded_exactly(self, mark: bytes, end: str) -> None:
        """Both models come out as whole numbers of recorded units, worked by hand."""
        found = catalogue_csv.read(mark + table(PLAIN, TORIC, end=end))
        assert found.problems == []
        assert found.models == [
            {
                "model": "Model P", "toric": 0, "sphere_min_cD": -1800, "sphere_max_cD": -300,
                "sphere_step_cD": 50, "cylinder_min_cD": 0, "cylinder_max_cD": 0,
                "cylinder_step_cD": 0, "axis_step_deg": 0, "lengths_um": [12100, 12600, 13100],
                "optic_um": 5800, "offset_um": -50, "index_e4": 14500,
                "labelled_power": "Thin lens in aqueous",
            },
            {
                "model": "Model T", "toric": 1, "sphere_min_cD": -1800, "sphere_max_cD": 300,
                "sphere_step_cD": 25, "cylinder_min_cD": -600, "cylinder_max_cD": -50,
                "cylinder_step_cD": 50, "axis_step_deg": 1, "lengths_um": [12600],
                "optic_um": 5800, "offset_um": 0, "index_e4": None,
                "labelled_power": 'In aqueous, thin "lens"',
            },
        ]  # fmt: skip
        check_body("catalogue.adopted", {"title": "T", "demo": 0, "models": found.models}, PLACE)

    def test_columns_in_another_order_and_empty_rows_at_the_end(self) -> None:
        """The names say which column is which, and a spreadsheet's empty end is no model."""
        names = ",".join(reversed(NAMES.split(",")))
        row = ",".join(reversed(PLAIN.split(",")))
        found = catalogue_csv.read(table(row, ",,,,,,,,,,,,,", names=names))
        assert found.models == catalogue_csv.read(table(PLAIN)).models


class TestRefused:
    """Tables that give no model."""

    def test_every_error_is_listed_at_once_by_row_and_column(self) -> None:
        """Three rows with errors of different kinds, and a good one between, adopt nothing."""
        found = complaints(
            table(
                changed(sphere_step_D="0,25", toric="maybe"),
                changed(model="Model Q"),
                changed(model="MODEL Q", lengths_mm="13.1 12.1"),
                "only,three,cells",
            )
        )
        assert found == [
            "row 2, column toric: Write yes or no.",
            "row 2, column sphere_step_D: Write a decimal point, not a comma.",
            "row 4, column lengths_mm: Lengths must be in ascending order, each once.",
            "row 4, column model: MODEL Q is in row 3 already.",
            "row 5: It has 3 cells where the row of names has 14.",
        ]

    @pytest.mark.parametrize(
        ("column", "cell"),
        [
            ("sphere_min_D", "1e2"),
            ("sphere_min_D", "-18.001"),
            ("sphere_min_D", "\u0661\u0662"),
            ("sphere_min_D", "=1+1"),
            ("sphere_min_D", "-18 D"),
            ("sphere_min_D", "-1800"),
            ("sphere_min_D", ""),
            ("sphere_min_D", "NaN"),
            ("sphere_step_D", "0"),
            ("sphere_step_D", "0.4"),
            ("cylinder_min_D", "-6"),
            ("lengths_mm", "12.1;12.6"),
            ("lengths_mm", "12.1 12.1"),
            ("lengths_mm", "126"),
            ("optic_mm", "58"),
            ("index", "1.2"),
            ("index", "1.45001"),
            ("model", "a\x00b"),
            ("model", "right \u202e left"),
            ("model", "two\nlines"),
            ("model", "m" * 61),
            ("labelled_power", "x" * 301),
            ("toric", "1"),
        ],
    )
    def test_a_cell_that_means_nothing_here(self, column: str, cell: str) -> None:
        """Each is refused; none is rounded, guessed or cut."""
        (line,) = complaints(table(changed(**{column: cell})))
        assert line.startswith("row 2, column "), line

    @pytest.mark.parametrize(
        ("data", "says"),
        [
            (b"", "It is empty"),
            (table(PLAIN).replace(b"Thin", b"Th\xecn"), "not UTF-8"),
            (NAMES.encode("utf-16"), "not UTF-8"),
            (table(PLAIN) + b'"never closed', "not CSV"),
            (b"x" * 200_001, "larger than 200 kB"),
            (table(*[changed(model=f"M{number}") for number in range(61)]), "more than 60"),
            (table(), "no model below"),
            (table(PLAIN, names=NAMES.replace(",", ";")), "commas, not by semicolons"),
            (table(PLAIN, names=NAMES.replace("toric", "tori")), "column tori: There is no such"),
            (table(PLAIN, names=NAMES.replace("toric", "model")), "toric: This column is missing"),
            (table(PLAIN + ",9", names=NAMES + ",price"), "column price: There is no such column"),
            (table(PLAIN + ",1", names=NAMES + ",index"), "index: This column is there more than"),
        ],
    )  # fmt: skip
    def test_a_file_that_is_no_such_table(self, data: bytes, says: str) -> None:
        """One sentence says what the file is not."""
        assert any(says in line for line in complaints(data)), complaints(data)

    @given(st.binary(max_size=300))
    def test_no_bytes_at_all_break_it(self, data: bytes) -> None:
        """Whatever is brought, there is an answer, and no model without a row of names."""
        assert catalogue_csv.read(data).problems

    @given(st.lists(st.text(max_size=12), min_size=14, max_size=14))
    def test_no_cells_at_all_break_it(self, cells: list[str]) -> None:
        """A row of anything gives either a model that a record takes, or problems."""
        text = io.StringIO(newline="")
        csv.writer(text).writerow(cells)
        data = f"{NAMES}\r\n{text.getvalue()}".encode("utf-8", "surrogatepass")
        found = catalogue_csv.read(data)
        if not found.problems:
            body = {"title": "T", "demo": 0, "models": found.models}
            check_body("catalogue.adopted", body, PLACE)


class TestWritten:
    """Taking a catalogue out."""

    def test_comes_back_the_same(self) -> None:
        """What is written is read as it was."""
        models = starting_point.catalogue()["models"]
        assert catalogue_csv.read(catalogue_csv_writing.write(models).encode()).models == models

    @pytest.mark.parametrize("text", ["=1+1", "+x", "-x", "@SUM(A1)", "'=1", "'quoted"])
    def test_no_text_is_a_formula_and_none_is_changed(self, text: str) -> None:
        """A text that a spreadsheet would run has an apostrophe in front, and comes back as it was.

        The characters are those that the Open Worldwide Application Security Project lists for CSV
        injection (from memory).
        """
        model = {**starting_point.SPHERICAL, "model": text, "labelled_power": text}
        written = catalogue_csv_writing.write([model])
        cells = list(csv.reader(io.StringIO(written, newline="")))[1]
        assert cells[0] == cells[-1] == f"'{text}"
        assert catalogue_csv.read(written.encode()).models == [model]


class TestProductNumbers:
    """A column of its own, which may be left out.

    GS1's worked check digits: 0950600013435 gives 2, 629104150021 gives 3, 0123456789012 gives 8.
    """

    NUMBERED = NAMES + ",product_numbers"

    def test_short_ones_get_their_zeros_back(self) -> None:
        """Numbers of 12 and 13 digits, as a spreadsheet leaves them, are those of 14."""
        rows = (PLAIN + ",9506000134352 06291041500213", TORIC + ",01234567890128")
        models = catalogue_csv.read(table(*rows, names=self.NUMBERED)).models
        assert models[0]["gtins"] == ["06291041500213", "09506000134352"]
        assert models[1]["gtins"] == ["01234567890128"]
        check_body("catalogue.adopted", {"title": "T", "demo": 0, "models": models}, PLACE)
        assert catalogue_csv.read(catalogue_csv_writing.write(models).encode()).models == models

    def test_an_empty_cell_lists_none(self) -> None:
        """As in a table without the column."""
        models = catalogue_csv.read(table(PLAIN + ",", names=self.NUMBERED)).models
        assert models == catalogue_csv.read(table(PLAIN)).models

    @pytest.mark.parametrize(
        ("cell", "says"),
        [
            ("9506000134353", "9506000134353 is no product number"),
            ("629104150021", "629104150021 is no product number"),
            ("9.506E+12", "9.506E+12 is no product number"),
            ("0009506000134352", "0009506000134352 is no product number"),
            ("9506000134352 09506000134352", "stands here twice"),
        ],
    )
    def test_what_is_no_number_is_said_by_row(self, cell: str, says: str) -> None:
        """Each with what is wrong; nothing of the table is taken."""
        lines = complaints(table(PLAIN + f",{cell}", names=self.NUMBERED))
        assert len(lines) == 1
        assert lines[0].startswith("row 2, column product_numbers:") and says in lines[0]

    def test_one_number_under_two_models(self) -> None:
        """Which of them would a box be?"""
        rows = (PLAIN + ",9506000134352", TORIC + ",6291041500213 9506000134352")
        assert complaints(table(*rows, names=self.NUMBERED)) == [
            "row 3, column product_numbers: 09506000134352 is of the model in row 2 already."
        ]
