"""The order sheet: read back from the PDF itself, and the same as the machine-readable form."""

import io
import re
from collections.abc import Callable
from typing import Any

import pytest
from pypdf import PdfReader

from tests.desk.conftest import Desk, ReadyCase
from tests.hospital import READINGS
from webapp.bootstrap import ROOT
from webapp.demo_people import PASSPHRASE
from webapp.flow import order
from webapp.flow.order import OrderSheet

# A sheet that could do something when it is opened would be no sheet.
FORBIDDEN = (
    b"/JavaScript", b"/JS", b"/OpenAction", b"/AA", b"/Launch", b"/URI", b"/EmbeddedFile",
    b"/Annot", b"/SubmitForm", b"/RichMedia", b"/GoTo",
)  # fmt: skip
NAMES = ("Orla Fennimore", "मीरा तर्नवाल", "نورا المرفأ", "Łucja Ødegård-Žižek", "Ωρίων Волна")


class Ordered:
    """An order at the desk and what its addresses give."""

    def __init__(self, desk: Desk, case: ReadyCase) -> None:
        self.desk = desk
        self.address = case.order(desk, supplier_reference="TI-77").location
        self.desk.get(self.address)

    def print_once(self) -> None:
        """Press the print button."""
        assert self.desk.post(f"{self.address}/print").status_code == 302

    def pdf(self) -> bytes:
        """Return the sheet."""
        answer = self.desk.client.get(f"{self.address}/sheet.pdf")
        assert answer.content_type == "application/pdf"
        return answer.data

    def text(self) -> str:
        """Return the sheet's text with single spaces."""
        pages = PdfReader(io.BytesIO(self.pdf())).pages
        return " ".join(" ".join(page.extract_text() for page in pages).split())

    def data(self) -> dict[str, Any]:
        """Return the machine-readable form."""
        answer = self.desk.client.get(f"{self.address}.json")
        found: dict[str, Any] = answer.json
        return found


@pytest.fixture
def ordered(desk: Desk, case: ReadyCase) -> Ordered:
    """Return an order that was just placed."""
    return Ordered(desk, case)


class TestPaper:
    """What is printed."""

    def test_has_person_eye_and_lens(self, ordered: Ordered) -> None:
        """Two identifiers, the eye in words and letters, the lens as a sentence and in a table."""
        text, lens = ordered.text(), ordered.data()["lens"]
        assert "Orla Fennimore" in text and "born in 1996 · SP-014" in text
        assert "RIGHT EYE OD" in text
        assert lens["sentence"] in text
        assert f"−{abs(lens['sphere_cD']) / 100:.2f} D" in text
        assert f"{lens['length_um'] / 1000:.2f} mm" in text

    def test_has_every_input_with_who_when_and_device(
        self, ordered: Ordered, case: ReadyCase
    ) -> None:
        """Each reading of the evidence stands there with its unit, plane and person."""
        text = ordered.text()
        for words in (
            "−9.00 sphere D", "at the glasses, vertex 12.0 mm", "43.50 / 43.75 D", "3.30 mm",
            "from the endothelium, Biometer", "540 µm", "11.70 mm", "5.50 mm", "15 mmHg",
            "Predicted refraction at the glasses, vertex 12.0 mm",
            "2800 /mm²", "grade 4", "R. Ambler", "2026-11-25 04:45", "test phone",
        ):  # fmt: skip
            assert words in text, words
        kinds = {record["kind"] for record in ordered.data()["records"]}
        assert kinds == {*READINGS, "person.registered", "history.answers"}

    def test_has_what_was_approved_and_by_whom(self, ordered: Ordered) -> None:
        """Approver, receipt, findings with their answers, and the identities to compare."""
        text, data = ordered.text(), ordered.data()
        assert "Approved by Dr S. Verrill, signed 25 Nov 2026, 04:45 UTC" in text
        for finding in data["findings"]:
            assert finding["code"] in text
        compact = text.replace(" ", "")
        for identity in (
            data["digest"], data["order"]["id"], data["approval"]["id"],
            data["calculation"]["core"], data["calculation"]["catalogue"]["id"],
            data["calculation"]["limits"]["id"],
        ):  # fmt: skip
            assert identity in compact

    def test_another_target_and_a_planned_change_are_said(
        self, ordered: Ordered, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """A plan that does not aim at plano, or that counts on an incision, says so on paper."""

        def aimed_elsewhere(found: OrderSheet) -> OrderSheet:
            body = found.approval["body"]
            target = {"sphere_cD": -50, "cylinder_cD": 0, "axis_deg": None}
            change = {"flattening_cD": 40, "meridian_deg": 95}
            shown = {**body["shown"], "target": target, "surgical_change": change}
            return found._replace(approval={**found.approval, "body": {**body, "shown": shown}})

        change_sheet(monkeypatch, aimed_elsewhere)
        text = ordered.text()
        assert "Target: −0.50 sphere D." in text
        assert "Planned: cornea flattened by 0.40 D along 95°." in text

    def test_says_what_it_is_not(self, ordered: Ordered) -> None:
        """The cautions, the missing power convention, and when it is void."""
        text = ordered.text()
        assert "supports a licensed surgeon’s decision and replaces none" in text
        assert "void if not current" in text
        assert "not for patients" in text
        assert ordered.data()["lens"]["labelled_power"] in text

    def test_a_missing_power_convention_is_said(
        self, ordered: Ordered, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Rule D36: what the label's power means is never left to be assumed."""

        def forgotten(found: OrderSheet) -> OrderSheet:
            models = [{**one, "labelled_power": None} for one in found.catalogue["models"]]
            return found._replace(catalogue={**found.catalogue, "models": models})

        change_sheet(monkeypatch, forgotten)
        assert "Ask the supplier before the first order" in ordered.text()

    def test_a_preview_a_first_copy_and_a_reprint_differ(self, ordered: Ordered) -> None:
        """Only printing makes a copy; later copies say which they are."""
        assert "PREVIEW, not for sending" in ordered.text()
        ordered.print_once()
        assert "first copy" in ordered.text()
        assert "first copy" in ordered.text()
        ordered.print_once()
        assert "REPRINT, copy 2" in ordered.text()

    def test_a_cancelled_order_prints_as_cancelled(self, ordered: Ordered) -> None:
        """Nobody can send a sheet of an order that was ended."""
        cancel = {"reason": "Moved away", "passphrase": PASSPHRASE}
        ordered.desk.post(f"{ordered.address}/cancel", **cancel)
        text = ordered.text()
        assert "CANCELLED" in text and "Cancelled: Moved away" in text
        assert "first copy" not in text

    def test_can_do_nothing_but_be_read(self, ordered: Ordered) -> None:
        """No script, action, link, annotation or attached file, in any object."""
        reader = PdfReader(io.BytesIO(ordered.pdf()))
        assert not reader.attachments
        whole = b" ".join(
            repr(reader.get_object(number)).encode() for number in range(1, len(reader.xref[0]) + 1)
        )
        assert b"/Page" in whole
        assert [name for name in FORBIDDEN if name in whole or name in ordered.pdf()] == []

    def test_fits_one_page(self, ordered: Ordered) -> None:
        """An eye with each reading once is one sheet of A4."""
        (page,) = PdfReader(io.BytesIO(ordered.pdf())).pages
        assert round(float(page.mediabox.width)) == 595
        assert round(float(page.mediabox.height)) == 842


class TestMachineReadable:
    """The same as data."""

    def test_units_are_in_the_names(self, ordered: Ordered) -> None:
        """Format, integers in recorded units, and the lens byte for byte as approved."""
        data = ordered.data()
        assert data["format"] == "lampside-order/1"
        assert data["eye"]["code"] == "R"
        assert data["lens"]["length_um"] in (12000, 12500, 13000, 13500)
        assert data["order"]["supplier_reference"] == "TI-77"
        assert data["target"] == {
            "sphere_cD": 0, "cylinder_cD": 0, "axis_deg": None, "text": "plano",
        }  # fmt: skip
        assert data["planned_change"] is None
        assert data["predicted"].keys() >= {"sphere_cD", "mean_um", "p_in_e4"}
        assert data["predicted"]["plane"] == "spectacle"
        kinds = [record["kind"] for record in data["records"]]
        assert kinds[:3] == ["person.registered", "history.answers", "reading.refraction"]

    def test_the_code_holds_digest_and_order(self, ordered: Ordered) -> None:
        """What the printed code says can be checked without the paper."""
        data = ordered.data()
        assert data["qr"] == f"lampside-order/1:{data['digest']}:{data['order']['id']}"

    def test_the_page_on_the_format_names_every_field(self, ordered: Ordered) -> None:
        """What the documentation lists is what there is, at the top and one level down."""
        text = (ROOT / "webapp" / "desk" / "ORDER_FORMAT.md").read_text(encoding="utf-8")
        rows = dict(re.findall(r"^\| `(\w+)` \| (.*) \|$", text, flags=re.MULTILINE))
        data = ordered.data()
        assert set(rows) == set(data)
        for name in ("order", "person", "eye", "lens", "target", "predicted", "approval",
                     "calculation"):  # fmt: skip
            assert set(re.findall(r"`(\w+)`", rows[name])) >= set(data[name]), name
        for name in ("records", "findings"):
            assert set(re.findall(r"`(\w+)`", rows[name])) >= set(data[name][0]), name

    def test_no_number_is_a_fraction(self, ordered: Ordered) -> None:
        """Recorded integers stay integers all the way."""
        assert [value for value in leaves(ordered.data()) if isinstance(value, float)] == []


class TestScripts:
    """Names in the letters that people write them in."""

    @pytest.mark.parametrize("name", NAMES)
    def test_a_name_reads_back(
        self, name: str, desk: Desk, case: ReadyCase, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Each letter of the name has a shape on the sheet, and its letters can be copied out."""
        ordered = Ordered(desk, case)
        from_sheet = ordered_with_name(ordered, name, monkeypatch)
        assert "Not every letter could be printed" not in from_sheet
        assert set(name.replace(" ", "")) - set(from_sheet) == set()

    def test_a_letter_without_a_shape_is_said(
        self, desk: Desk, case: ReadyCase, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """A script that no typeface here has is not silently left out."""
        from_sheet = ordered_with_name(Ordered(desk, case), "Orla 漢", monkeypatch)
        assert "Not every letter could be printed (U+6F22)" in from_sheet


def ordered_with_name(ordered: Ordered, name: str, monkeypatch: pytest.MonkeyPatch) -> str:
    """Return the text of the sheet as if the person were called ``name``."""
    change_sheet(
        monkeypatch,
        lambda found: found._replace(person_body={**found.person_body, "name": name}),
    )
    return ordered.text()


def change_sheet(
    monkeypatch: pytest.MonkeyPatch, change: Callable[[OrderSheet], OrderSheet]
) -> None:
    """Let the page be given another order than the stored one."""
    sheet = order.sheet
    monkeypatch.setattr(order, "sheet", lambda actor, order_id: change(sheet(actor, order_id)))


def leaves(value: object) -> list[object]:
    """Return every plain value in nested lists and dictionaries."""
    if isinstance(value, dict):
        return [leaf for one in value.values() for leaf in leaves(one)]
    if isinstance(value, list):
        return [leaf for one in value for leaf in leaves(one)]
    return [value]
