"""The administrator's page of lens models: a table is read, looked at, and adopted with a name."""

from html import unescape
from io import BytesIO
from typing import Any

import pytest
from werkzeug.test import TestResponse

from tests.desk.conftest import Desk
from tests.hospital import CATALOGUE, Hospital
from webapp.demo_people import PASSPHRASE
from webapp.exchange_formats import catalogue_csv_writing
from webapp.flow import folding, reference

PAGE = "/desk/catalogue"
TABLE = catalogue_csv_writing.write(CATALOGUE["models"])


@pytest.fixture
def rook(hospital: Hospital) -> Desk:
    """Return the administrator's browser on the page, a catalogue being in force."""
    hospital.adopt_reference()
    desk = Desk(hospital.client("rook"))
    desk.get(PAGE)
    return desk


def bring(desk: Desk, text: str) -> TestResponse:
    """Bring a table as a file."""
    fields = {"csrf_token": desk.token, "file": (BytesIO(text.encode()), "lenses.csv")}
    return desk.client.flask.post(f"{PAGE}/look", data=fields)


def adopt(desk: Desk, **fields: str) -> TestResponse:
    """Adopt a table that was looked at."""
    whole = {"table": TABLE, "title": "Winter", "passphrase": PASSPHRASE, **fields}
    return desk.post(f"{PAGE}/adopt", **whole)


class TestLook:
    """Reading a table adopts nothing."""

    def test_shows_the_models_and_keeps_what_is_in_force(self, rook: Desk) -> None:
        """Each figure is on the page with what to do next; the old catalogue stands."""
        before = folding.in_force()["catalogue"]
        page = unescape(bring(rook, TABLE.replace("Model A-s", "Model New")).text)
        assert "The table as it was read" in page and "Model New" in page
        assert "\u221220.00 to +6.00, step 0.50" in page
        assert "Adopt this catalogue" in page
        assert folding.in_force()["catalogue"] == before

    def test_lists_every_error_by_row(self, rook: Desk) -> None:
        """Both errors are said, and there is nothing to adopt."""
        answer = bring(rook, TABLE.replace("no,", "si,").replace("5.80", "58"))
        page = unescape(answer.text)
        assert answer.status_code == 422
        assert "2 things are to be corrected" in page
        assert "row 2, column toric: Write yes or no." in page
        assert "row 2, column optic_mm: Optic goes from 3.00 to 8.00 mm." in page
        assert "Adopt this catalogue" not in page

    def test_product_numbers_are_shown_and_refused_by_row(self, rook: Desk) -> None:
        """GS1's worked check digits: 0950600013435 gives 2, 629104150021 gives 3."""
        model: dict[str, Any] = CATALOGUE["models"][0]  # type: ignore[index,assignment]
        other = {**model, "model": "Model B", "gtins": ["06291041500213"]}
        numbered = [{**model, "gtins": ["09506000134352"]}, other]
        text = catalogue_csv_writing.write(numbered)
        page = unescape(bring(rook, text).text)
        assert "<td>09506000134352</td>" in page and "<td>06291041500213</td>" in page
        answer = bring(rook, text.replace("06291041500213", "06291041500214"))
        assert answer.status_code == 422
        assert "column product_numbers: 06291041500214 is no product number" in answer.text

    def test_what_a_file_holds_is_only_text(self, rook: Desk) -> None:
        """Markup in a name is shown and runs nothing."""
        page = bring(rook, TABLE.replace("Model A-s", "<script>x</script>")).text
        assert "<script>x" not in page and "&lt;script&gt;x" in page

    def test_without_a_file(self, rook: Desk) -> None:
        """The field says so."""
        answer = rook.post(f"{PAGE}/look")
        assert answer.status_code == 422 and "Choose the CSV file." in answer.text


class TestAdopt:
    """Adopting what was looked at."""

    def test_is_in_force_with_who_and_when(self, rook: Desk) -> None:
        """The new catalogue is listed above the old one, with the administrator's name."""
        assert adopt(rook).status_code == 302
        found = folding.in_force()["catalogue"]["body"]
        assert (found["title"], found["demo"]) == ("Winter", 0)
        page = unescape(rook.get(PAGE).text)
        assert page.index("Winter, in force") < page.index("Demo lenses</th><td>A. Rook")

    @pytest.mark.parametrize(
        ("changed", "says"),
        [
            ({"passphrase": "not this one"}, "The passphrase is not right"),
            ({"passphrase": ""}, "Type your passphrase"),
            ({"title": " "}, "Give the catalogue a title."),
            ({"table": TABLE.replace("no,", "si,")}, "Write yes or no."),
            ({"table": ""}, "It is empty."),
        ],
    )
    def test_is_not_adopted(self, rook: Desk, changed: dict[str, str], says: str) -> None:
        """What is wrong is said, the old catalogue stands."""
        before = folding.in_force()["catalogue"]
        answer = adopt(rook, **changed)
        assert answer.status_code == 422
        assert says in unescape(answer.text)
        assert folding.in_force()["catalogue"] == before

    def test_what_was_typed_comes_back_without_the_passphrase(self, rook: Desk) -> None:
        """Title, tick and table stay in the form."""
        page = unescape(adopt(rook, passphrase="not this one", invented="y").text)
        assert 'value="Winter"' in page and "Model A-s,no" in page and " checked" in page
        assert "not this one" not in page


class TestWho:
    """Only an administrator."""

    @pytest.mark.parametrize("name", ["fenn", "verrill", "ambler"])
    def test_others_are_refused(self, hospital: Hospital, name: str) -> None:
        """Neither the page, the table, nor an adoption is for others."""
        hospital.adopt_reference()
        desk = Desk(hospital.client(name))
        desk.get("/desk/")
        for address in (PAGE, f"{PAGE}/in-force.csv"):
            assert desk.get(address).status_code == 403
        assert adopt(desk).status_code == 403
        assert len(reference.versions("catalogue.adopted")) == 1

    def test_the_table_in_force_can_be_taken(self, rook: Desk) -> None:
        """It is a file named by its check code, and what was adopted."""
        answer = rook.get(f"{PAGE}/in-force.csv")
        assert answer.text == TABLE
        assert answer.content_type.startswith("text/csv")
        assert "attachment; filename=" in answer.headers["Content-Disposition"]

    def test_before_any_catalogue(self, hospital: Hospital) -> None:
        """The page says that nothing can be planned, and there is no table to take."""
        rook = Desk(hospital.client("rook"))
        assert "No catalogue yet: no eye can be planned." in rook.get(PAGE).text
        assert rook.get(f"{PAGE}/in-force.csv").status_code == 404
