"""The number grammar: what ``webapp.records.numbers`` promises."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.records.vectors import Case, label, read
from webapp.records.errors import BadRecord
from webapp.records.numbers import MINUS, parse_scaled, shown_number

VECTORS = read("numbers")


class TestParseScaled:
    """Typed text becomes a whole number exactly, or is refused."""

    @pytest.mark.parametrize("case", VECTORS["parsed"], ids=label)
    def test_parsed(self, case: Case) -> None:
        """Each text means the number worked by hand."""
        value = parse_scaled(case["text"], case["scale"], case["decimals"], case["step"])
        assert value == case["value"]

    @pytest.mark.parametrize("case", VECTORS["refused"], ids=label)
    def test_refused(self, case: Case) -> None:
        """Commas, exponents, other scripts, and finer values are refused, never repaired."""
        with pytest.raises(BadRecord) as refusal:
            parse_scaled(case["text"], case["scale"], case["decimals"], case["step"], "sphere_cD")
        assert refusal.value.field == "sphere_cD"

    @given(st.integers(-999_999, 999_999))
    def test_agrees_with_decimal(self, value: int) -> None:
        """Every hundredth up to 9999.99 is read as decimal arithmetic reads it."""
        text = f"{Decimal(value) / 100:.2f}"
        assert parse_scaled(text, 100, 2, 1) == value

    @given(st.text(max_size=8))
    def test_any_text(self, text: str) -> None:
        """Any text is refused, or is a number that decimal arithmetic reads alike."""
        try:
            value = parse_scaled(text, 100, 2, 1)
        except BadRecord:
            return
        assert Decimal(text.replace(MINUS, "-")) * 100 == value


class TestShownNumber:
    """A recorded number becomes text that loses nothing."""

    @pytest.mark.parametrize("case", VECTORS["shown"], ids=label)
    def test_shown(self, case: Case) -> None:
        """Each number is shown as worked by hand, with the true minus and a plus where asked."""
        shown = shown_number(case["value"], case["scale"], case["decimals"], case["signed"] == 1)
        assert shown == case["text"]

    @given(st.integers(-999_999, 999_999), st.sampled_from([1, 10, 100]), st.booleans())
    def test_round_trip(self, value: int, scale: int, signed: bool) -> None:
        """What is shown is read back as the same number."""
        decimals = len(str(scale)) - 1
        value = max(-9999 * scale, min(9999 * scale, value))
        assert (
            parse_scaled(shown_number(value, scale, decimals, signed), scale, decimals, 1) == value
        )
