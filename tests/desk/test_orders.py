"""Several orders at once: each its own order and its own answer; files that say what sheets say."""

import csv
import io
import re
from html import unescape

import pypdf
import pytest

from tests.desk.conftest import Desk, ReadyCase
from tests.hospital import Hospital, width_body
from webapp.bootstrap import ROOT
from webapp.demo_people import PASSPHRASE
from webapp.desk import order_file
from webapp.store.projections import orders

PAGE = "/desk/orders/"


def value(case: ReadyCase) -> str:
    """Return what ticking the eye of a case sends."""
    return f"{case.person}.R.{case.approval}"


def table_of(text: str) -> list[dict[str, str]]:
    """Return the lines of a CSV file by the names of their columns."""
    return list(csv.DictReader(io.StringIO(text, newline="")))


class TestPlacing:
    """Choosing several approved eyes."""

    def test_each_eye_gets_its_order(self, desk: Desk, case: ReadyCase) -> None:
        """Two ticked eyes, two orders, each named."""
        second = case.another()
        page = unescape(desk.get(PAGE).text)
        assert value(case) in page and value(second) in page
        assert "checked>" not in page
        sent = {"eye": [value(case), value(second)], "passphrase": PASSPHRASE}
        answer = desk.client.flask.post(PAGE, data={"csrf_token": desk.token, **sent})
        page = unescape(answer.text)
        assert page.count(">ordered</a>") == 2
        assert "Orla Fennimore, right eye" in page and "Tove Brandal, right eye" in page
        assert len(orders.of_case(case.person, "R")) == len(orders.of_case(second.person, "R")) == 1

    def test_one_that_cannot_be_ordered_stops_no_other(self, desk: Desk, case: ReadyCase) -> None:
        """It became stale while the page was open; the other one is ordered all the same."""
        second = case.another()
        desk.get(PAGE)
        case.camp.keep("reading.white_to_white", case.person, "R", width_body(12100))
        sent = {"eye": [value(case), value(second)], "passphrase": PASSPHRASE}
        answer = desk.client.flask.post(PAGE, data={"csrf_token": desk.token, **sent})
        page = unescape(answer.text)
        assert "Orla Fennimore, right eye: <strong>not ordered.</strong>" in page
        assert "The approval no longer stands" in page or "cannot be ordered from" in page
        assert "Tove Brandal, right eye" in page and page.count(">ordered</a>") == 1
        assert not orders.of_case(case.person, "R")

    def test_sent_twice_is_ordered_once(self, desk: Desk, case: ReadyCase) -> None:
        """The second answer names the same order (I2)."""
        desk.get(PAGE)
        fields = {"eye": value(case), "passphrase": PASSPHRASE}
        first, again = (desk.post(PAGE, **fields) for _ in range(2))
        link = re.compile(r"/desk/order/[0-9a-f]{64}")
        found = link.search(first.text)
        assert found is not None and found[0] in again.text
        assert len(orders.of_case(case.person, "R")) == 1

    def test_a_wrong_passphrase_orders_nothing(self, desk: Desk, case: ReadyCase) -> None:
        """What was ticked stays ticked."""
        desk.get(PAGE)
        answer = desk.post(PAGE, eye=value(case), passphrase="not this one")
        assert answer.status_code == 422
        assert f'value="{value(case)}" checked' in answer.text
        assert not orders.of_case(case.person, "R")

    def test_nothing_ticked(self, desk: Desk, case: ReadyCase) -> None:
        """It says so."""
        desk.get(PAGE)
        answer = desk.post(PAGE, passphrase=PASSPHRASE)
        assert answer.status_code == 422 and "Choose the eyes" in answer.text
        assert not orders.of_case(case.person, "R")

    @pytest.mark.parametrize(
        "sent", ["x", "a.b.c", "..", "{person}.X.{approval}", "no.R.{approval}"]
    )
    def test_what_is_no_eye(self, desk: Desk, case: ReadyCase, sent: str) -> None:
        """Nothing made up is ordered, and nothing breaks."""
        desk.get(PAGE)
        made_up = sent.format(person=case.person, approval=case.approval)
        answer = desk.post(PAGE, eye=made_up, passphrase=PASSPHRASE)
        assert answer.status_code in (200, 422)
        assert ">ordered</a>" not in answer.text
        assert not orders.of_case(case.person, "R")

    def test_what_stands_in_the_way_is_said(self, desk: Desk, case: ReadyCase) -> None:
        """An eye that cannot be ordered has no box to tick."""
        case.camp.register()
        page = unescape(desk.get(PAGE).text)
        assert value(case) not in page
        assert "Not so:" in page

    def test_not_by_a_surgeon(self, hospital: Hospital, case: ReadyCase) -> None:
        """Seen, not ordered."""
        surgeon = Desk(hospital.client("verrill"))
        assert value(case) not in surgeon.get(PAGE).text
        fields = {"eye": value(case), "passphrase": PASSPHRASE}
        assert surgeon.post(PAGE, **fields).status_code == 403


class TestFiles:
    """One voice with the sheet."""

    def ids(self, desk: Desk, *cases: ReadyCase) -> list[str]:
        """Order the eyes of these cases and return the orders' ids."""
        return [one.order(desk).location.rsplit("/", 1)[-1] for one in cases]

    def test_a_line_an_order(self, desk: Desk, case: ReadyCase) -> None:
        """The numbers and words of the sheet, in its order."""
        (order_id,) = self.ids(desk, case)
        data = desk.get(f"/desk/order/{order_id}.json").json
        answer = desk.get(f"{PAGE}file.csv?order={order_id}")
        assert answer.content_type == "text/csv; charset=utf-8"
        (line,) = table_of(answer.text)
        assert list(line) == list(order_file.COLUMNS)
        lens = data["lens"]
        assert float(line["Sphere, D"]) == lens["sphere_cD"] / 100
        assert float(line["Overall length, mm"]) == lens["length_um"] / 1000
        assert line["Lens in words"] == lens["sentence"]
        assert (line["Axis, °"], line["Cylinder, D"]) == ("", "0.00")
        assert (line["Digest"], line["Order"]) == (data["digest"], order_id)
        assert (line["Eye"], line["Name"]) == ("right eye", "Orla Fennimore")

    def test_the_columns_stand_in_the_order_of_the_sheet(self, desk: Desk, case: ReadyCase) -> None:
        """Each text of the line is on the paper, and after the one before it."""
        (order_id,) = self.ids(desk, case)
        (line,) = table_of(desk.get(f"{PAGE}file.csv?order={order_id}").text)
        sheet = desk.get(f"/desk/order/{order_id}/sheet.pdf").data
        paper = " ".join(
            " ".join(
                page.extract_text() for page in pypdf.PdfReader(io.BytesIO(sheet)).pages
            ).split()
        )
        place = 0
        for column in (
            "Lens order", "Site", "Placed by", "Name", "Camp code", "Lens in words", "Model",
            "Labelled power", "Approved by", "Digest", "Order", "Approval",
        ):  # fmt: skip
            found = paper.find(line[column].split("\n")[0], place)
            assert found >= place, (column, line[column])
            place = found

    def test_several(self, desk: Desk, case: ReadyCase) -> None:
        """As a table and as data, each once even if named twice."""
        ids = self.ids(desk, case, case.another())
        query = "&".join(f"order={one}" for one in [*ids, ids[0]])
        lines = table_of(desk.get(f"{PAGE}file.csv?{query}").text)
        assert [line["Order"] for line in lines] == ids
        data = desk.get(f"{PAGE}file.json?{query}").json
        assert data["format"] == "lampside-orders/1"
        assert data["orders"][0] == desk.get(f"/desk/order/{ids[0]}.json").json

    def test_no_text_of_a_person_can_be_a_formula(self, desk: Desk, case: ReadyCase) -> None:
        """A supplier's reference that begins like one is a text (OWASP, CSV injection)."""
        placed = case.order(desk, supplier_reference="=1+1")
        order_id = placed.location.rsplit("/", 1)[-1]
        (line,) = table_of(desk.get(f"{PAGE}file.csv?order={order_id}").text)
        assert line["Supplier's reference"] == "'=1+1"

    def test_only_orders_that_one_may_read(self, desk: Desk, case: ReadyCase) -> None:
        """An unknown one among them gives no file at all."""
        (order_id,) = self.ids(desk, case)
        nothing = desk.get(f"{PAGE}file.csv")
        assert nothing.status_code == 409 and "tick the orders" in nothing.text
        for query in (f"order={'0' * 64}", f"order={order_id}&order={'0' * 64}"):
            assert desk.get(f"{PAGE}file.csv?{query}").status_code == 404

    def test_the_page_on_the_format_names_every_column(self) -> None:
        """What the documentation lists is what there is, in its order."""
        text = (ROOT / "webapp" / "desk" / "ORDER_FORMAT.md").read_text(encoding="utf-8")
        listed = re.findall(r"^\| ([^|`]+) \| [^|]* \|$", text.split("## As a table")[1], re.M)
        assert [one.strip() for one in listed if one.strip() not in ("column", "---")] == list(
            order_file.COLUMNS
        )
