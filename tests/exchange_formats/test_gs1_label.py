"""GS1 labels: published strings, damaged strings, and strings whose parts ran together."""

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.core.errors import BadInput
from webapp.exchange_formats import gs1_label

VECTORS = Path(__file__).resolve().parents[1] / "vectors" / "gs1.json"
WORKED: list[dict[str, Any]] = json.loads(VECTORS.read_text(encoding="utf-8"))
GS = "\x1d"
PRODUCT = "0109506000134352"


@pytest.mark.parametrize("vector", WORKED, ids=[vector["id"] for vector in WORKED])
def test_published_string(vector: dict[str, Any]) -> None:
    """The code says what is published, no field more and none less."""
    found = gs1_label.read(vector["input"]["data"])._asdict()
    assert found == vector["expected"], vector["source"]


# Worked examples of GS1 (from memory): 12 or 13 digits and the check digit that follows them.
@pytest.mark.parametrize(("digits", "check"), [("0950600013435", 2), ("0629104150021", 3)])
def test_check_digit(digits: str, check: int) -> None:
    """Of the ten possible last digits only the published one is taken."""
    taken = []
    for last in range(10):
        try:
            gs1_label.read(f"01{digits}{last}")
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
        gs1_label.read(data)
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
        gs1_label.read(data)
    assert "printed label" in refusal.value.message


def test_what_a_lost_separator_may_still_hide() -> None:
    """A lot behind a serial number can't be told from a serial number: the lot is then missing."""
    found = gs1_label.read(PRODUCT + "211234" + "10A213B1")
    assert (found.lot, found.serial) == (None, "123410A213B1")


@pytest.mark.parametrize(
    "data", [PRODUCT + "1021ABC", PRODUCT + "10AB21", PRODUCT + f"10A213B1{GS}21X"]
)
def test_a_lot_with_21_that_is_one_lot(data: str) -> None:
    """21 at the start or the end of a lot, or beside a serial number, is part of the lot."""
    assert gs1_label.read(data).lot == data.partition(GS)[0].removeprefix(PRODUCT + "10")


plain = st.text("ABCXYZ0345689-/", min_size=1, max_size=20)


@given(plain, plain, st.dates(), st.permutations(["01", "17", "10", "21"]))
def test_any_order(lot: str, serial: str, day: Any, order: list[str]) -> None:  # noqa: ANN401
    """The fields come back whole in whatever order they stand."""
    expiry = day.replace(year=2000 + day.year % 50)
    texts = {
        "01": PRODUCT, "17": f"17{expiry:%y%m%d}", "10": f"10{lot}{GS}", "21": f"21{serial}{GS}",
    }  # fmt: skip
    found = gs1_label.read("".join(texts[identifier] for identifier in order))
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
        found = gs1_label.read(data)
    except BadInput as refusal:
        assert refusal.field == "data"
    else:
        assert {len(value) for value in (found.lot, found.serial) if value} <= set(range(1, 21))
