"""Canonical bytes: what ``webapp.records.canonical`` promises."""

import json

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from tests.records.vectors import Case, label, read
from webapp.records import canonical
from webapp.records.canonical import JsonValue
from webapp.records.errors import BadRecord

VECTORS = read("canonical")

whole = st.integers(-(2**53) + 1, 2**53 - 1)
# The letters and digits of a few scripts, with astral ones; each is NFC, alone and beside others.
text = st.text('abcXYZ019 \n"\\/\u0080\u00f6\u0416\u05d3\u738b\uff5e\U0001f600', max_size=12)
values = st.recursive(
    st.none() | whole | text,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(text, inner, max_size=4),
    max_leaves=12,
)


def bytes_of(case: Case) -> bytes:
    """Return the bytes of a case, which are given as text or in hex."""
    return bytes.fromhex(case["hex"]) if "hex" in case else case["text"].encode()


class TestEncode:
    """One value has one byte string."""

    @pytest.mark.parametrize("case", VECTORS["values"], ids=label)
    def test_golden_bytes(self, case: Case) -> None:
        """Each value is written as the bytes that were worked out by hand."""
        assert canonical.encode(case["value"]).hex() == case["hex"]

    def test_quick_writer_agrees_with_the_standards_own(self) -> None:
        """Every ASCII character, as text and as key, is written as the RFC 8785 package does."""
        value = {chr(code): [chr(code), code] for code in reversed(range(128))}
        assert canonical.encode(value) == rfc8785.dumps(value)

    @pytest.mark.parametrize("case", VECTORS["refused_values"], ids=label)
    def test_refused_values(self, case: Case) -> None:
        """What has no canonical form is refused before anything is written."""
        with pytest.raises(BadRecord):
            canonical.encode(case["value"])

    @pytest.mark.parametrize("value", [1.0, float("nan"), b"bytes", (1, 2), {1: 2}, {None: 1}, {1}])
    def test_refuses_other_python_values(self, value: JsonValue) -> None:
        """Floats, even whole ones, and types that JSON does not have are refused."""
        with pytest.raises(BadRecord):
            canonical.encode(value)

    def test_length_limit_is_on_bytes(self) -> None:
        """64 KiB of UTF-8 pass and one byte more does not, whatever the number of characters."""
        fits = "\u738b" * 21844 + "ab"  # 3 bytes each, with two letters and two quotes: 65536
        assert len(canonical.encode(fits)) == 64 * 1024
        with pytest.raises(BadRecord, match="64 KiB"):
            canonical.encode(fits + "c")


class TestDecode:
    """Only the canonical bytes of a value are read."""

    @pytest.mark.parametrize("case", VECTORS["values"], ids=label)
    def test_reads_golden_bytes(self, case: Case) -> None:
        """The golden bytes give the value back."""
        assert canonical.decode(bytes.fromhex(case["hex"])) == case["value"]

    @pytest.mark.parametrize("case", VECTORS["refused_bytes"], ids=label)
    def test_refuses(self, case: Case) -> None:
        """Each other way of writing is refused, by the declared error."""
        with pytest.raises(BadRecord):
            canonical.decode(bytes_of(case))

    @pytest.mark.parametrize("opening", [b"[", b'{"a":'])
    def test_absurd_depth(self, opening: bytes) -> None:
        """A depth that exhausts the parser is refused like any other bad record."""
        with pytest.raises(BadRecord):
            canonical.decode(opening * 10_000)

    def test_too_long(self) -> None:
        """More than 64 KiB are refused unread."""
        with pytest.raises(BadRecord, match="64 KiB"):
            canonical.decode(b'"' + b"a" * 64 * 1024 + b'"')

    @given(values)
    def test_round_trip(self, value: JsonValue) -> None:
        """What was encoded is read back equal, and is valid JSON for any other reader."""
        data = canonical.encode(value)
        assert canonical.decode(data) == value
        assert json.loads(data) == value

    @given(st.binary(max_size=40) | st.text(max_size=20).map(str.encode))
    def test_never_another_error(self, data: bytes) -> None:
        """Whatever the bytes, they are read or refused, and what is read has these very bytes."""
        try:
            value = canonical.decode(data)
        except BadRecord:
            return
        assert canonical.encode(value) == data
