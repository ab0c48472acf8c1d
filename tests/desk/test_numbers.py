"""Recorded integers as text. Expected values are written by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.desk import numbers


class TestFixed:
    """A recorded integer in a shown unit."""

    @pytest.mark.parametrize(
        ("value", "scale", "decimals", "text"),
        [
            (11620, 1000, 2, "11.62"),
            (11625, 1000, 2, "11.63"),
            (-125, 1000, 2, "−0.13"),
            (-4, 1000, 2, "0.00"),
            (140, 10, 0, "14"),
            (2640, 1, 0, "2640"),
            (-179, 1, 0, "−179"),
        ],
    )
    def test_by_hand(self, value: int, scale: int, decimals: int, text: str) -> None:
        """Halves go away from zero; the minus is U+2212; a zero has none; no thousands mark."""
        assert numbers.fixed(value, scale, decimals) == text

    @given(st.integers(-4000, 4000))
    def test_hundredths_lose_nothing(self, value_cd: int) -> None:
        """Dioptres with two decimals read back as the recorded hundredths."""
        text = numbers.dioptres(value_cd).replace("−", "-").replace("+", "")
        assert round(float(text) * 100) == value_cd


class TestSigned:
    """Powers of lenses and refractions always carry their sign."""

    @pytest.mark.parametrize(
        ("value_cd", "text"), [(-975, "−9.75"), (7, "+0.07"), (0, "0.00"), (1200, "+12.00")]
    )
    def test_by_hand(self, value_cd: int, text: str) -> None:
        """Minus and plus are written, zero has none."""
        assert numbers.dioptres(value_cd) == text


class TestInHundred:
    """Probabilities as natural counts."""

    @pytest.mark.parametrize(
        ("share_e4", "text"),
        [(0, "<1"), (49, "<1"), (50, "1"), (9600, "96"), (9949, "99"), (9950, ">99")],
    )
    def test_by_hand(self, share_e4: int, text: str) -> None:
        """Under half of one in a hundred is "<1", from 99.5 it is ">99"."""
        assert numbers.in_hundred(share_e4) == text

    def test_read_aloud(self) -> None:
        """The signs are read as words."""
        assert numbers.spoken_in_hundred(10) == "under 1"
        assert numbers.spoken_in_hundred(9990) == "over 99"
