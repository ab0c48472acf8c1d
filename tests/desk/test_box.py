"""The pages of a lens box: typed by two people, side by side, no way past a difference."""

import io
import json
import re
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from tests.desk.conftest import Desk, ReadyCase
from tests.hospital import READINGS, WALL, Hospital, person_body
from tests.ordered import lens_of
from webapp.demo_people import PASSPHRASE
from webapp.desk import qr
from webapp.desk.eyes import BOTH, Eye
from webapp.desk.moments import now
from webapp.desk.numbers import dioptres, millimetres, short_hash
from webapp.desk.sheet_paper import MARGIN_MM
from webapp.desk.shelf_label import SCHEME, WIDTH_MM, Shelf, make_pdf
from webapp.flow import box, clock, order, order_progress
from webapp.flow.actor import Actor
from webapp.flow.box import Checked
from webapp.store import journal

GS = "\x1d"
HIDDEN = re.compile(r'name="read" type="hidden" value="([^"]*)"')


class Box:
    """An order's box pages, and the label of the right box as it is typed."""

    def __init__(self, desk: Desk, case: ReadyCase, fenn: Actor) -> None:
        self.desk = desk
        self.order = case.order(desk).location
        self.page = f"{self.order}/box"
        order_progress.arrive(fenn, self.order.rsplit("/", 1)[1], clock.today())
        lens = lens_of(self.order.rsplit("/", 1)[1])
        self.lens = {
            "model": lens["model"],
            "sphere_cD": dioptres(lens["sphere_cD"]),
            "cylinder_cD": dioptres(lens["cylinder_cD"]),
            "axis_deg": str(lens["axis_deg"] or ""),
            "length_um": millimetres(lens["length_um"]),
        }
        self.traced = {"lot": "LOT7", "serial": "SER9", "expiry_date": "2031-02-28"}
        self.code = f"]d201095060001343521731022810LOT7{GS}21SER9"

    def first(self, **changed: str) -> Any:  # noqa: ANN401 - an answer
        """Send the first reading."""
        self.desk.get(self.page)
        fields = {"code": self.code, "code_by": "reader", "device_day": "2026-11-29"}
        fields = {**fields, **self.lens, **self.traced}
        return self.desk.post(self.page, **{**fields, **changed})

    def second(self, answer: Any, **changed: str) -> Any:  # noqa: ANN401 - an answer
        """Send the second reading after the answer to the first."""
        read = unescape(HIDDEN.search(answer.text)[1])  # type: ignore[index]
        fields = {"read": read, "name": "verrill", "passphrase": PASSPHRASE, **self.lens}
        return self.desk.post(f"{self.page}/again", **{**fields, **changed})


@pytest.fixture
def arrived(hospital: Hospital, desk: Desk, case: ReadyCase) -> Box:
    """Return an ordered lens whose box is there."""
    return Box(desk, case, hospital.actor("fenn"))


def page_of(arrived: Box, answer: Any) -> str:  # noqa: ANN401 - an answer
    """Return the page that a redirect leads to."""
    assert answer.status_code == 302, unescape(answer.text)
    return unescape(arrived.desk.get(answer.location).text)


def test_nothing_of_the_order_is_filled_in_or_shown(arrived: Box) -> None:
    """The lens is read off the box: the page knows it and says nothing of it."""
    page = unescape(arrived.desk.get(arrived.page).text)
    for name in ("model", "sphere_cD", "cylinder_cD", "length_um"):
        assert arrived.lens[name] not in page
        assert re.search(rf'name="{name}"[^>]*value=""', page)


def test_two_people_and_the_right_box(arrived: Box) -> None:
    """The second person sees no first value, types the power, and the box is right."""
    again = arrived.first()
    assert again.status_code == 200
    shown = HIDDEN.sub("", unescape(again.text))
    assert arrived.lens["sphere_cD"] not in shown
    assert 'name="lot"' not in shown, "the scan has the lot already"
    page = page_of(arrived, arrived.second(again))
    assert "The box is right" in page
    assert "Read by L. Fenn" in page and "Read by Dr S. Verrill" in page
    assert "<td>28 Feb 2031</td>" in page and "2031-02-28" not in page, "a day as on other pages"
    order = unescape(arrived.desk.get(arrived.order).text)
    assert "Right, SER9" in order


def test_another_lens_is_a_hard_stop(arrived: Box) -> None:
    """Recorded at once, shown side by side, and no button goes on with this box."""
    page = page_of(arrived, arrived.first(length_um="12.00"))
    assert "Stop. Not the lens for this eye" in page
    assert "Do not implant this lens" in page
    assert '<tr class="differs"><th scope="row">Length</th>' in page
    assert page.index('class="differs"') < page.index("Model</th>"), "what differs stands first"
    forms = re.findall(r'<form[^>]*action="([^"]*)"', page)
    assert not [action for action in forms if "/order/" in action]
    assert "Stop: differs, SER9" in unescape(arrived.desk.get(arrived.order).text)


@pytest.mark.parametrize("code_by", ["keys", "", "camera"])
def test_a_typed_code_is_no_scan_whatever_it_says(arrived: Box, code_by: str) -> None:
    """Typed with its symbology and separator: it came from keys, so two people read everything."""
    answer = arrived.first(code_by=code_by)
    assert 'name="serial"' in answer.text
    assert 'name="serial"' not in arrived.first().text


def test_typed_code_lets_the_second_person_read_everything(arrived: Box) -> None:
    """A code typed with brackets is no scan; lot, serial number and date are read twice."""
    again = arrived.first(code="(01)09506000134352(17)310228(10)LOT7(21)SER9")
    assert 'name="lot"' in again.text
    missing = arrived.second(again)
    assert missing.status_code == 422
    assert "Type the lot" in unescape(missing.text)
    page = page_of(arrived, arrived.second(again, **arrived.traced))
    assert "The box is right" in page


def test_the_second_person_reads_otherwise(arrived: Box) -> None:
    """Two readings of one box that differ stop it."""
    page = page_of(arrived, arrived.second(arrived.first(), length_um="12.00"))
    assert "Stop. Not the lens for this eye" in page
    assert "Read the box itself again" in page


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("]d201095060001343521731022810LOT721SER9", "seems to hold the serial number too"),
        ("]d20109506000134353", "check digit"),
        ("(01)09506000134352(17)313228(21)SER9", "no date of the calendar"),
    ],
)
def test_a_code_that_cannot_be_used(arrived: Box, code: str, words: str) -> None:
    """The sentence stands at the code, what was typed is still there, nothing is recorded."""
    answer = arrived.first(code=code)
    assert answer.status_code == 422
    assert words in unescape(answer.text)
    assert 'id="code-error"' in answer.text
    assert 'value="LOT7"' in answer.text
    assert "Boxes checked" not in arrived.desk.get(arrived.order).text


BAD = [
    ("sphere_cD", "7.50", "sign"),
    ("sphere_cD", "", "Type the sphere"),
    ("axis_deg", "181", "Axis"),
    ("length_um", "125", "Length"),
    ("lot", "", "do not implant"),
    ("lot", "L\u041eT7", "\u041e"),
    ("serial", "SER\uff19", "English keyboard"),
    ("expiry_date", "", "do not implant"),
]


@pytest.mark.parametrize(("field", "text", "words"), BAD)
def test_what_no_label_says_is_asked_again(arrived: Box, field: str, text: str, words: str) -> None:
    """A value that cannot be, or is missing, is said beside its field."""
    answer = arrived.first(**{field: text})
    assert answer.status_code == 422
    assert f'id="{field}-error"' in answer.text
    assert words in unescape(answer.text)


def test_cylinder_and_axis_belong_together(arrived: Box) -> None:
    """An axis is asked for exactly where there is a cylinder."""
    without = arrived.first(cylinder_cD="-1.00", axis_deg="")
    beside_none = arrived.first(cylinder_cD="0", axis_deg="7")
    for answer in (without, beside_none):
        assert answer.status_code == 422
        assert 'id="axis_deg-error"' in answer.text


def test_the_second_person_must_be_another(arrived: Box) -> None:
    """Oneself again, or a wrong passphrase: said beside the field, nothing recorded."""
    again = arrived.first()
    myself = arrived.second(again, name="fenn")
    wrong = arrived.second(again, passphrase="not this one")
    assert (myself.status_code, wrong.status_code) == (422, 422)
    assert 'id="name-error"' in myself.text
    assert 'id="passphrase-error"' in wrong.text
    assert "not this one" not in wrong.text
    assert "Boxes checked" not in arrived.desk.get(arrived.order).text


def test_a_first_reading_that_was_tampered_with(arrived: Box) -> None:
    """What comes back with the second form is judged again, never believed."""
    arrived.desk.get(arrived.page)
    for read in (
        "",
        "[]",
        "{}",
        "not json",
        json.dumps({"code": None, "label": {}, "device_day": None}),
        json.dumps({"code": 5, "label": {}, "device_day": None}),
        "[" * 100_000,
    ):
        answer = arrived.desk.post(f"{arrived.page}/again", read=read, **arrived.lens)
        assert answer.status_code in (302, 422), read
    assert not journal.entries_of_kind("saltpan", "label.checked")


@pytest.mark.parametrize(
    "change",
    [
        {"code": 5}, {"code": "]d20109506000134353"}, {"device_day": "2026-13-01"},
        {"device_day": 20261129}, {"label": None}, {"label": {"lot": ["LOT7"]}},
        {"label": {"axis_deg": 7}}, {"label": {"serial": "SER\u0419"}}, {"more": 1},
        {"code_by": "camera"}, {"code_by": None},
    ],
)  # fmt: skip
def test_each_part_of_a_first_reading_is_judged_again(arrived: Box, change: Any) -> None:  # noqa: ANN401 - any JSON
    """One part altered leads back to the first form; the whole one does not."""
    answer = arrived.first()
    read = json.loads(unescape(HIDDEN.search(answer.text)[1]))  # type: ignore[index]
    label = change.get("label", {})
    altered = {**read, **change, "label": label and {**read["label"], **label}}
    fields = {"name": "verrill", "passphrase": PASSPHRASE, **arrived.lens}
    again = arrived.desk.post(f"{arrived.page}/again", read=json.dumps(altered), **fields)
    assert (again.status_code, again.location) == (302, arrived.page)
    assert not journal.entries_of_kind("saltpan", "label.checked")


def test_a_fault_of_ours_is_not_taken_for_a_tampered_reading(
    arrived: Box, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever reads second would be sent back and back again, and nobody would hear why."""
    answer = arrived.first()

    def fault(*_: object) -> None:
        raise TypeError("a fault")

    monkeypatch.setattr(box, "compare", fault)
    with pytest.raises(TypeError, match="a fault"):
        arrived.second(answer)


def test_the_other_eyes_lens_says_so(arrived: Box, case: ReadyCase) -> None:
    """A box with the fellow eye's lens is named as that."""
    kind = "reading.refraction"
    first = case.camp.measure(case.person, "L")[kind]
    weaker = {**READINGS[kind], "sphere_cD": -700, "taken": WALL, "typed": {}}
    changed = {"replaces": first, "reason": "Read again"}
    case.camp.keep(kind, case.person, "L", weaker, **changed)
    approval = case.surgeon.approve(case.person, "L", case.camp.send_for_plan(case.person, "L"))
    arrived.desk.get(f"/desk/case/{case.person}/L")
    fellow = {"approval": approval, "passphrase": PASSPHRASE}
    placed = arrived.desk.post(f"/desk/case/{case.person}/L/order", **fellow)
    lens = lens_of(placed.location.rsplit("/", 1)[1])
    other = {
        "sphere_cD": dioptres(lens["sphere_cD"]), "cylinder_cD": dioptres(lens["cylinder_cD"]),
        "axis_deg": str(lens["axis_deg"] or ""), "length_um": millimetres(lens["length_um"]),
        "model": lens["model"],
    }  # fmt: skip
    assert other != arrived.lens
    page = page_of(arrived, arrived.first(**other))
    assert "those ordered for the left eye of the same person" in page


def test_the_surgeon_reads_and_cannot_check(hospital: Hospital, arrived: Box) -> None:
    """A surgeon sees a recorded check and gets no form."""
    made = arrived.first(length_um="12.00").location
    surgeon = Desk(hospital.client("verrill"))
    assert "Do not implant this lens" in surgeon.get(made).text
    assert surgeon.get(arrived.page).status_code == 403
    elsewhere = made.replace(arrived.order.rsplit("/", 1)[1], "a" * 64)
    assert surgeon.get(elsewhere).status_code == 404


def test_a_cancelled_order_has_no_box(hospital: Hospital, arrived: Box) -> None:
    """The page of a box of an ended order says not to implant."""
    order_id = arrived.order.rsplit("/", 1)[1]
    order.cancel(hospital.actor("fenn"), order_id, "Moved away", PASSPHRASE, "Taken back")
    answer = arrived.desk.get(arrived.page)
    assert answer.status_code == 409
    assert "Do not implant" in unescape(answer.text)


def test_the_label_for_the_shelf(arrived: Box) -> None:
    """Eye, order, serial number and the check's code, no name; only while the box is verified."""
    made = arrived.second(arrived.first()).location
    assert "Print the label for the shelf" in arrived.desk.get(made).text
    label = arrived.desk.get(f"{made}/shelf.pdf")
    assert label.status_code == 200
    words = PdfReader(io.BytesIO(label.data)).pages[0].extract_text()
    check = made.rsplit("/", 1)[1]
    for said in ("RIGHT EYE", "OD", "SN SER9", "Lot LOT7", "28 Feb 2031", short_hash(check)):
        assert said in words, said
    assert person_body()["name"] not in words
    differs = arrived.first(length_um="12.00").location
    assert arrived.desk.get(f"{differs}/shelf.pdf").status_code == 409
    assert arrived.desk.get(f"{made}/shelf.pdf").status_code == 409, "a later check differed"


@pytest.mark.parametrize("eye", BOTH)
def test_its_code_stands_across_from_the_eye(eye: Eye, sheet_fonts: Path) -> None:
    """The code of the check is drawn at the edge that is not the eye's."""
    rows = [{"field": name, "first": "2031-02-28"} for name in ("serial", "lot", "expiry_date")]
    check = Checked("c" * 64, "", "", eye.code, "", None, "", {"rows": rows}, other_eye=False)
    shelf = Shelf(check, eye, "2026-00001", "SP-1", "Saltpan")
    drawn = PdfReader(io.BytesIO(make_pdf(shelf, now(), sheet_fonts))).pages[0]
    boxes: list[tuple[float, float]] = []

    def keep(operator: bytes, operands: list[Any], matrix: list[float], _text: object) -> None:
        if operator == b"re":
            boxes.append((float(operands[0]), float(operands[2])))

    drawn.extract_text(visitor_operand_before=keep)
    runs = [left for left, width in boxes if width < 40]
    middle_pt = (MARGIN_MM + WIDTH_MM / 2) * 72 / 25.4
    assert len(runs) >= len(qr.code(SCHEME + "c" * 64).runs)
    code = sorted(runs)[len(runs) // 2]
    assert (code > middle_pt) is (eye.code == "R")
