"""A lens box beside the order: what agrees, what stops, and what cannot be told yet.

Every expected outcome follows from the rules of invariant I19 and hazards H30, H31, H34 and H35;
no figure is computed here.
"""

from typing import Any

import pytest

from tests.core_runtime import Core
from webapp.core.box.products import listed

GS = "\x1d"
GTIN = "09506000134352"
SCAN = f"]d201{GTIN}1728020010LOT7{GS}21SER9"
PRINTED_CODE = f"(01){GTIN}(17)280200(10)LOT7(21)SER9"
LENS = {
    "model": "Model A-t", "sphere_cD": -975, "cylinder_cD": -250, "axis_deg": 15,
    "length_um": 12500,
}  # fmt: skip
LABEL = {**LENS, "lot": "LOT7", "serial": "SER9", "expiry_date": "2028-02-29"}
LENS_ONLY = {**LENS, "lot": None, "serial": None, "expiry_date": None}
DAYS = ["2026-11-29", "2026-11-29"]
FIELDS = list(LABEL)


def asked(core: Core, **changed: object) -> dict[str, Any]:
    """Return the core's answer about a box that is right, but for what is changed."""
    request = {
        "do": "box", "lens": LENS, "code": SCAN, "first": LABEL, "second": LENS_ONLY, "days": DAYS,
        **changed,
    }  # fmt: skip
    return core("door", "answer", request)


def found(core: Core, **changed: object) -> dict[str, Any]:
    """Return the same where it is an answer."""
    value: dict[str, Any] = asked(core, **changed)["value"]
    return value


def verdicts(answer: dict[str, Any]) -> dict[str, tuple[str, str]]:
    """Return outcome and code of each field that does not agree."""
    return {
        row["field"]: (row["outcome"], row["why"])
        for row in answer["rows"]
        if row["outcome"] != "agrees"
    }


def test_the_right_box(core: Core) -> None:
    """Scanned, read by one person, its power read again by another: each field agrees."""
    answer = found(core)
    assert (answer["outcome"], verdicts(answer)) == ("agrees", {})
    assert [row["field"] for row in answer["rows"]] == FIELDS
    assert answer["scanned"] == 1
    assert answer["code"]["gtin"] == GTIN
    assert answer["second_reads"] == list(LENS)


@pytest.mark.parametrize("code", [None, PRINTED_CODE, f"01{GTIN}1728020021SER9"])
def test_without_a_scan_two_people_read_everything(core: Core, code: str | None) -> None:
    """No code, or one that was typed, leaves lot, serial number and date to two people."""
    once = found(core, code=code)
    assert once["outcome"] == "cannot_tell"
    assert verdicts(once) == {
        name: ("cannot_tell", "one_reading") for name in ("lot", "serial", "expiry_date")
    }
    assert once["second_reads"] == FIELDS
    assert found(core, code=code, second=LABEL)["outcome"] == "agrees"


@pytest.mark.parametrize(
    ("code", "code_by", "scanned"),
    [
        (SCAN, "reader", 1), (SCAN, "keys", 0), (SCAN, None, 1),
        (f"01{GTIN}1728020021SER9", "reader", 1), (PRINTED_CODE, "reader", 0), (None, "reader", 0),
    ],
)  # fmt: skip
def test_where_a_code_came_from_decides(
    core: Core, code: str | None, code_by: str | None, scanned: int
) -> None:
    """Not what it says: a person can type all that a reader writes. Older records do not say."""
    assert found(core, code=code, code_by=code_by)["scanned"] == scanned


OTHER: list[tuple[str, object]] = [
    ("model", "Model A-s"), ("model", "model A-t"), ("sphere_cD", 975), ("sphere_cD", -950),
    ("cylinder_cD", -225), ("axis_deg", 165), ("axis_deg", 105), ("length_um", 12510),
]  # fmt: skip


@pytest.mark.parametrize(("field", "value"), OTHER)
def test_another_lens_stops(core: Core, field: str, value: object) -> None:
    """A field of the lens that differs from the order by one step is a stop, and alone is."""
    wrong = {**LABEL, field: value}
    answer = found(core, first=wrong, second={**LENS_ONLY, field: value})
    assert answer["outcome"] == "differs"
    assert verdicts(answer) == {field: ("differs", "not_ordered")}


@pytest.mark.parametrize("second", [None, LENS_ONLY])
def test_a_difference_stops_before_the_second_person(core: Core, second: object) -> None:
    """One reading that differs from the order is enough to stop."""
    answer = found(core, first={**LABEL, "axis_deg": 165}, second=second)
    assert answer["outcome"] == "differs"


def test_one_person_alone_is_never_enough(core: Core) -> None:
    """What only one person read cannot be told, although it is what was ordered."""
    answer = found(core, second=None)
    assert answer["outcome"] == "cannot_tell"
    assert verdicts(answer) == {name: ("cannot_tell", "one_reading") for name in LENS}


def test_two_people_who_read_differently(core: Core) -> None:
    """The readings of a box must be the same before any of them counts."""
    answer = found(core, second={**LENS_ONLY, "length_um": 12000})
    assert verdicts(answer) == {"length_um": ("differs", "readings_differ")}


@pytest.mark.parametrize(
    ("field", "value"), [("lot", "LOT1"), ("serial", "SER8"), ("expiry_date", "2028-02-28")]
)
def test_code_and_print_that_differ(core: Core, field: str, value: str) -> None:
    """H35: what is printed beside a code must be what the code says."""
    answer = found(core, first={**LABEL, field: value})
    assert verdicts(answer) == {field: ("differs", "readings_differ")}


def test_a_lost_separator_that_the_code_alone_hides(core: Core) -> None:
    """H34: a lot swallowed by the serial number shows beside the printed one."""
    answer = found(core, code=f"]d201{GTIN}1728020021SER910LOT7")
    assert verdicts(answer)["serial"] == ("differs", "readings_differ")
    assert answer["outcome"] == "differs"


@pytest.mark.parametrize(
    "code",
    [
        f"]d201{GTIN}1728020010LOT721SER9",  # the separator after the lot is lost
        f"]d2010950600013435317280200{GS}21SER9",  # a wrong check digit
        "]d1" + SCAN[3:],  # a matrix that is not of GS1
        "", "(21", f"]d201{GTIN}17280230",
    ],
)  # fmt: skip
def test_a_code_that_cannot_be_used_is_refused(core: Core, code: str) -> None:
    """A damaged code is no code that says less."""
    assert asked(core, code=code) == {"refused": "code"}


def with_expiry(date: str, yymmdd: str) -> dict[str, object]:
    """Return what changes for a box with another last day."""
    return {"code": SCAN.replace("280200", yymmdd), "first": {**LABEL, "expiry_date": date}}


@pytest.mark.parametrize(
    ("days", "outcome"),
    [
        (["2026-11-30", "2026-11-30"], "agrees"),
        (["2026-11-30", "2026-12-01"], "differs"),
        (["2026-12-01", "2026-11-30"], "differs"),
        (["2030-01-01", "2026-11-01"], "differs"),
    ],
)
@pytest.mark.parametrize("yymmdd", ["261130", "261100"])
def test_the_worse_of_two_clocks_judges_the_last_day(
    core: Core, days: list[str], outcome: str, yymmdd: str
) -> None:
    """H31: good through the last day, day 00 being the month's end; one clock is enough to stop."""
    answer = found(core, days=days, **with_expiry("2026-11-30", yymmdd))
    assert answer["outcome"] == outcome
    assert verdicts(answer) == (
        {"expiry_date": ("differs", "expired")} if outcome != "agrees" else {}
    )


@pytest.mark.parametrize("missing", ["lot", "serial", "expiry_date"])
def test_a_box_without_lot_serial_or_date(core: Core, missing: str) -> None:
    """I19: each of them must be there; nothing agrees by being absent."""
    absent = {**LABEL, missing: None}
    answer = found(core, code=None, first=absent, second=absent)
    assert answer["outcome"] == "cannot_tell"
    assert verdicts(answer) == {missing: ("cannot_tell", "one_reading")}


PLUS = {"sphere_cD": -1225, "cylinder_cD": 250, "axis_deg": 105}


def test_a_label_in_plus_cylinder_is_the_same_power(core: Core) -> None:
    """-9.75 -2.50 x 15 is -12.25 +2.50 x 105 (rule of transposition: any textbook of optics)."""
    answer = found(core, first={**LABEL, **PLUS}, second={**LENS_ONLY, **PLUS})
    assert answer["outcome"] == "agrees"
    rows = {row["field"]: row for row in answer["rows"]}
    assert rows["cylinder_cD"]["first"] == "+2.50 D"
    assert rows["cylinder_cD"]["ordered"] == "\u22122.50 D"
    assert "plus cylinder" in rows["cylinder_cD"]["text"]


def test_half_a_transposition_stops(core: Core) -> None:
    """The axis of one notation with the power of the other is another lens."""
    half = {**PLUS, "axis_deg": 15}
    answer = found(core, first={**LABEL, **half}, second={**LENS_ONLY, **half})
    assert verdicts(answer) == {"axis_deg": ("differs", "not_ordered")}


def test_a_spherical_lens_and_a_toric_one(core: Core) -> None:
    """No cylinder where one was ordered stops in cylinder and axis, and the other way round."""
    round_ = {**LENS, "cylinder_cD": 0, "axis_deg": None}
    read = {**LABEL, "cylinder_cD": 0, "axis_deg": None}
    again = {**LENS_ONLY, "cylinder_cD": 0, "axis_deg": None}
    assert found(core, lens=round_, first=read, second=again)["outcome"] == "agrees"
    assert set(verdicts(found(core, first=read, second=again))) == {"cylinder_cD", "axis_deg"}
    assert set(verdicts(found(core, lens=round_))) == {"cylinder_cD", "axis_deg"}


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"first": {**LABEL, "axis_deg": None}}, "first.axis_deg"),
        ({"first": {**LABEL, "axis_deg": 181}}, "first.axis_deg"),
        ({"first": {**LABEL, "sphere_cD": True}}, "first.sphere_cD"),
        ({"second": {**LENS_ONLY, "length_um": 12500.5}}, "second.length_um"),
        ({"second": {**LENS_ONLY, "model": ""}}, "second.model"),
        ({"second": {"model": "Model A-t"}}, "second"),
        ({"first": {**LABEL, "expiry_date": "soon"}}, "date"),
        ({"days": []}, "days"),
        ({"days": ["2026-11-29", None]}, "days"),
        ({"code_by": "camera"}, "code_by"),
        ({"code": 5}, "code"),
        ({"lens": None}, "choice"),
        ({"products": 7}, "products"),
        ({"products": ["Model A-t"]}, "products"),
    ],
)
def test_what_is_no_reading_is_refused(core: Core, changed: dict[str, Any], field: str) -> None:
    """Nothing is guessed from a damaged request."""
    assert asked(core, **changed) == {"refused": field}


# GS1's worked check digits: 0950600013435 gives 2, 629104150021 gives 3, 0123456789012 gives 8.
NUMBERS = [
    {"model": "Model A-t", "gtins": ["06291041500213", GTIN]},
    {"model": "Model A-s", "gtins": ["01234567890128"]},
]


@pytest.mark.parametrize(
    ("gtin", "verdict"),
    [
        (GTIN, ("agrees", "")),
        ("06291041500213", ("agrees", "")),
        ("01234567890128", ("differs", "other_model")),
        # The number of a published UDI example stands in neither list.
        ("51022222233336", ("agrees", "unknown_number")),
    ],
)
def test_a_product_number_of_another_model_stops(
    core: Core, gtin: str, verdict: tuple[str, str]
) -> None:
    """Whatever is printed; one that no list holds is only said."""
    answer = found(core, code=SCAN.replace(GTIN, gtin), products=NUMBERS)
    row = answer["rows"][-1]
    assert (row["field"], row["code"]) == ("gtin", gtin)
    assert (row["outcome"], row["why"]) == verdict
    assert answer["outcome"] == verdict[0]


def test_a_typed_number_of_another_model_stops_too(core: Core) -> None:
    """Its check digit says that it was typed well."""
    code = PRINTED_CODE.replace(GTIN, "01234567890128")
    assert found(core, code=code, second=LABEL, products=NUMBERS)["outcome"] == "differs"


@pytest.mark.parametrize("products", [None, []])
def test_without_lists_nothing_is_said_of_a_number(core: Core, products: object) -> None:
    """As for every catalogue before numbers could be listed."""
    answer = found(core, products=products)
    assert [row["field"] for row in answer["rows"]] == FIELDS
    assert answer["outcome"] == "agrees"


def test_a_model_without_a_list_is_in_none() -> None:
    """A catalogue from before holds no field for it, another one an empty one."""
    models = [{"model": "A"}, {"model": "B", "gtins": None}, {"model": "C", "gtins": [GTIN]}]
    assert listed(models) == [{"model": "C", "gtins": [GTIN]}]


def test_without_a_number_on_the_box_nothing_is_said(core: Core) -> None:
    """A code may hold lot and serial number alone."""
    answer = found(core, code=SCAN.replace("01" + GTIN, ""), products=NUMBERS)
    assert [row["field"] for row in answer["rows"]] == FIELDS
