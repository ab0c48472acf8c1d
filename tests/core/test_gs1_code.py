"""GS1 codes: published strings, damaged strings, and strings whose parts ran together.

Judged by ``tests/oracles/gs1_label.py``, another reader of them, made on a library's own table of
identifiers, formats and check digits.
"""

import json
import re
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from biip import ParseError
from biip.gs1_application_identifiers import GS1ApplicationIdentifier
from hypothesis import given
from hypothesis import strategies as st

from tests.core_runtime import Core
from tests.oracles import gs1_label
from webapp.core.box import code
from webapp.core.box.elements import elements
from webapp.core.box.identifiers import rule_at
from webapp.core.errors import BadInput

VECTORS = Path(__file__).resolve().parents[1] / "vectors" / "gs1.json"
WORKED: list[dict[str, Any]] = json.loads(VECTORS.read_text(encoding="utf-8"))
GS = "\x1d"
TODAY = datetime.now(UTC).date().isoformat()
PRODUCT = "0109506000134352"


@pytest.mark.parametrize("vector", WORKED, ids=[vector["id"] for vector in WORKED])
def test_published_string(core: Core, vector: dict[str, Any]) -> None:
    """The code says what is published, no field more and none less, in both Pythons."""
    found = core("box.code", "read", vector["input"]["data"], TODAY)
    assert found == {"value": list(vector["expected"].values())}, vector["source"]
    assert list(vector["expected"]) == list(code.Code._fields)


def read(data: str) -> Any:  # noqa: ANN401 - a Code
    """Return what a scanned code says today."""
    return code.read(data, TODAY)


# Worked examples of GS1 (from memory): 12 or 13 digits and the check digit that follows them.
@pytest.mark.parametrize(("digits", "check"), [("0950600013435", 2), ("0629104150021", 3)])
def test_check_digit(digits: str, check: int) -> None:
    """Of the ten possible last digits only the published one is taken."""
    taken = []
    for last in range(10):
        try:
            read(f"01{digits}{last}")
        except BadInput as refusal:
            assert "check digit" in refusal.message
        else:
            taken.append(last)
    assert taken == [check]


# What is wrong, the string, and words of the refusal.
BAD = [
    ("nothing", "", "empty"),
    ("only separators", GS + GS, "empty"),
    ("only a symbology", "]d2", "empty"),
    ("HIBCC", "+A123BJC5D6E71G", "HIBCC"),
    ("HIBCC in Code 128", "]C0+A123BJC5D6E71G", "HIBCC"),
    ("HIBCC in Data Matrix", "]d1+A123BJC5D6E71G", "HIBCC"),
    ("plain Data Matrix", "]d1" + PRODUCT, "not of GS1"),
    ("plain Code 128", "]C0" + PRODUCT, "not of GS1"),
    ("a shop's code", "]E09506000134352", "not of GS1"),
    ("printed text", "(01)09506000134352(21)1", "brackets"),
    ("a web address", "https://example.invalid/01/09506000134352", "no identifier"),
    ("unknown identifier", PRODUCT + "55ABC", "no identifier"),
    ("identifier cut off", PRODUCT + "1", "no identifier"),
    ("product number too short", "0109506000", "identifier 01 is damaged"),
    ("letter in the product number", "010950600013435A", "identifier 01 is damaged"),
    ("digit of another script", "01095060001343\u06652", "no GS1 code holds"),
    ("month 13", PRODUCT + "17281301", "no date"),
    ("month 0", PRODUCT + "17280001", "no date"),
    ("day 32", PRODUCT + "17280132", "no date"),
    ("30 February", PRODUCT + "17280230", "no date"),
    ("29 February of a common year", PRODUCT + "17270229", "no date"),
    ("31 April of production", PRODUCT + "11270431", "no date"),
    ("date cut off", PRODUCT + "172801", "no date"),
    ("separator inside a date", PRODUCT + f"1728{GS}0131", "no date"),
    ("lot of 21", PRODUCT + "10" + "A" * 21, "1 to 20 characters"),
    ("lot of 21 before a serial", PRODUCT + "10" + "A" * 21 + GS + "21X", "1 to 20 characters"),
    ("serial of 21", PRODUCT + "21" + "9" * 21, "1 to 20 characters"),
    ("lot of 0", PRODUCT + "10" + GS + "21X", "1 to 20 characters"),
    ("serial of 0", PRODUCT + "21", "1 to 20 characters"),
    ("space in a lot", PRODUCT + "10A B", "no GS1 code holds"),
    ("sign in a lot that GS1 has not", PRODUCT + "10A#B", "1 to 20 characters"),
    ("two separators", PRODUCT + "10AB" + GS + GS + "21X", "two separators"),
    ("two lots", PRODUCT + "10AB" + GS + "10AC", "comes twice"),
    ("two products", PRODUCT + "0106291041500213", "comes twice"),
    ("line break inside", PRODUCT + "\n21X", "no GS1 code holds"),
]


@pytest.mark.parametrize(("data", "words"), [row[1:] for row in BAD], ids=[row[0] for row in BAD])
def test_refusal(data: str, words: str) -> None:
    """What is damaged, or no GS1 code, is refused with a sentence that says which."""
    with pytest.raises(BadInput) as refusal:
        read(data)
    assert refusal.value.field == "data"
    assert words in refusal.value.message


# Each is a good label with one separator taken out.
MERGED = [
    ("the published label", "0151022222233336111412311715070710A213B1211234", "serial number too"),
    ("a long lot", PRODUCT + "1728022910LOT1234567892112345", "serial number too"),
    ("beyond 20 characters", PRODUCT + "17280229107654321D2110987654321", "1 to 20 characters"),
    ("an expiry date in the lot", PRODUCT + f"10AB1217280229{GS}21XYZ9", "a date too"),
    ("an expiry date in the serial", PRODUCT + f"10AB12{GS}21XYZ917280229", "a date too"),
    ("a production date in the lot", PRODUCT + f"10AB1211260131{GS}21XYZ9", "a date too"),
]


@pytest.mark.parametrize(
    ("data", "words"), [row[1:] for row in MERGED], ids=[row[0] for row in MERGED]
)
def test_a_lost_separator_is_noticed(data: str, words: str) -> None:
    """Fields that ran together are not taken for one, and the refusal says how to go on."""
    with pytest.raises(BadInput, match=words) as refusal:
        read(data)
    assert "printed label" in refusal.value.message


def test_what_a_lost_separator_may_still_hide() -> None:
    """A lot behind a serial number can't be told from a serial number: the lot is then missing."""
    found = read(PRODUCT + "211234" + "10A213B1")
    assert (found.lot, found.serial) == (None, "123410A213B1")


@pytest.mark.parametrize(
    "data", [PRODUCT + "1021ABC", PRODUCT + "10AB21", PRODUCT + f"10A213B1{GS}21X"]
)
def test_a_lot_with_21_that_is_one_lot(data: str) -> None:
    """21 at the start or the end of a lot, or beside a serial number, is part of the lot."""
    assert read(data).lot == data.partition(GS)[0].removeprefix(PRODUCT + "10")


plain = st.text("ABCXYZ0345689-/", min_size=1, max_size=20)


@given(plain, plain, st.dates(), st.permutations(["01", "17", "10", "21"]))
def test_any_order(lot: str, serial: str, day: Any, order: list[str]) -> None:  # noqa: ANN401
    """The fields come back whole in whatever order they stand."""
    expiry = day.replace(year=2000 + day.year % 50)
    texts = {
        "01": PRODUCT, "17": f"17{expiry:%y%m%d}", "10": f"10{lot}{GS}", "21": f"21{serial}{GS}",
    }  # fmt: skip
    found = read("".join(texts[identifier] for identifier in order))
    assert found == ("09506000134352", None, expiry.isoformat(), lot, serial)


anything = st.text(max_size=60) | st.lists(
    st.sampled_from([PRODUCT, "17", "11", "10", "21", "02", "240", "7007", "3103", GS, "]d2", "+"])
    | st.text("0123456789A" + GS, max_size=8),
    max_size=8,
).map("".join)


@given(anything)
def test_anything(data: str) -> None:
    """Any text at all is answered or refused; nothing else comes out."""
    try:
        found = read(data)
    except BadInput as refusal:
        assert refusal.field == "data"
    else:
        assert {len(value) for value in (found.lot, found.serial) if value} <= set(range(1, 21))


# Whose values both readers look into; of the others this one looks at the length alone.
LOOKED_INTO = {"01", "02", "03", "10", "11", "12", "13", "15", "16", "17", "21", "22"}


@given(anything)
def test_another_reader_says_the_same(data: str) -> None:
    """What the other reader takes is read alike; what it refuses is refused, or of no lens."""
    try:
        expected = tuple(gs1_label.read(data))
    except BadInput:
        try:
            read(data)
        except BadInput:
            return
        assert {name for name, _ in elements(data)} - LOOKED_INTO
    else:
        assert tuple(read(data)) == expected


def by_library(text: str) -> GS1ApplicationIdentifier | None:
    """Return the identifier that a library finds at the beginning of a text."""
    try:
        return GS1ApplicationIdentifier.extract(text)
    except ParseError:
        return None


TABLE = {one.ai: one for number in range(10000) if (one := by_library(f"{number:04d}"))}


def test_every_identifier_of_the_library_is_known_with_its_kind_of_end() -> None:
    """Length of the identifier, and whether its value has a fixed length or ends at a separator."""
    for name, one in TABLE.items():
        rule = rule_at(name + "0" * 20)
        assert rule is not None and len(rule.first) == len(name), name
        assert bool(rule.fixed) is not one.separator_required, name
        if rule.fixed:
            assert re.fullmatch(
                one.pattern, name + "01" * (rule.fixed // 2) + "0" * (rule.fixed % 2)
            )


def test_nothing_else_is_an_identifier() -> None:
    """Four digits that begin with no identifier are refused, but for gaps inside long families."""
    gaps = set()
    for number in range(10000):
        text = f"{number:04d}"
        if rule_at(text) and not any(text[:size] in TABLE for size in (2, 3, 4)):
            gaps.add(text[:2])
    assert gaps <= {"31", "32", "33", "34", "35", "36", "39", "43", "70", "72", "80", "81"}
    assert rule_at("5500") is None


# The text with brackets that is printed beside a code.
PRINTED = [
    # UDI format sheet of a US authority, v1.3.
    (
        "(01)51022222233336(11)141231(17)150707(10)A213B1(21)1234",
        ("51022222233336", "2014-12-31", "2015-07-07", "A213B1", "1234"),
    ),
    # A lot may hold brackets; two digits in them that are no identifier end nothing.
    ("(10)AB(55)C(21)9", (None, None, None, "AB(55)C", "9")),
    ("(17)280200(10)A", (None, None, "2028-02-29", "A", None)),
]


@pytest.mark.parametrize(("data", "expected"), PRINTED)
def test_printed_text(core: Core, data: str, expected: tuple[str | None, ...]) -> None:
    """Brackets say where each part ends, so nothing can run together."""
    assert core("box.code", "read_any", data, TODAY) == {"value": list(expected)}


@pytest.mark.parametrize(
    "data",
    [
        "(01)09506000134353",
        "(21)",
        "(21)1(17)281301",
        "(17)280230",
        "(55)1",
        "(21 1",
        "()1",
    ],
)
def test_printed_text_refused(core: Core, data: str) -> None:
    """A wrong check digit, an empty part, a day that is none, an identifier that is none."""
    assert core("box.code", "read_any", data, TODAY) == {"refused": "data"}


def test_a_recorded_separator_is_a_separator() -> None:
    """Records hold no control characters: the separator's picture reads the same."""
    whole = f"{PRODUCT}10AB12{GS}21XYZ9"
    assert read(whole.replace(GS, "\u241d")) == read(whole)


@pytest.mark.parametrize(
    ("data", "is_scan"),
    [
        ("]d2" + PRODUCT, True),
        (PRODUCT + f"10A{GS}21B", True),
        (PRODUCT + "10A\u241d21B", True),
        (PRODUCT, False),
        (f"{PRODUCT}21B{GS}", False),
        ("(10)A(21)B", False),
    ],
)
def test_a_scan_by_its_text(data: str, is_scan: bool) -> None:
    """Records that do not say where a code came from: a keyboard seldom writes such signs."""
    assert code.is_scan(data, None) is is_scan


@pytest.mark.parametrize(
    ("data", "source", "is_scan"),
    [
        (PRODUCT, code.READER, True),
        (f"]d2{PRODUCT}10A{GS}21B", code.KEYS, False),
        (PRODUCT, code.KEYS, False),
        ("(10)A(21)B", code.READER, False),
    ],
)
def test_a_scan_by_where_it_came_from(data: str, source: str, is_scan: bool) -> None:
    """What a person typed is no scan, whatever it says; what is printed is in no code."""
    assert code.is_scan(data, source) is is_scan


@pytest.mark.parametrize(
    ("today", "digits", "year"),
    [("2026-11-29", 76, 2076), ("2026-11-29", 77, 1977), ("2049-01-01", 99, 2099),
     ("2051-01-01", 1, 2101), ("2051-01-01", 2, 2002)],
)  # fmt: skip
def test_century(today: str, digits: int, year: int) -> None:
    """GS1 General Specifications, 7.12 (from memory): 49 years back to 50 ahead."""
    assert code.year_of(digits, today) == year
