"""The weight of the offline app: what is added up, and that too much is refused."""

import pytest

from webapp.asset_build import budget
from webapp.bootstrap import SetUpFailed

# Bytes sent for each part, invented; the engine's two files count in the larger sums only.
LIGHT = {"wasm": 165_000, "micropython": 23_000, "core": 11_000, "main": 30_000, "css": 8_000}


class TestWeigh:
    """The three sums."""

    def test_sums(self) -> None:
        """Pages alone, pages with engine and core, and everything, added by hand."""
        assert [weight.sent_bytes for weight in budget.weigh(LIGHT)] == [38_000, 237_000, 237_000]


class TestRequireWithin:
    """The refusal."""

    def test_light_enough_passes(self) -> None:
        """A build within each limit goes on."""
        budget.require_within(budget.weigh(LIGHT))

    @pytest.mark.parametrize(
        ("heavy", "named"),
        [
            ({"main": 32_001}, "pages and own code"),
            ({"wasm": 168_001}, "with the calculation core"),
        ],
    )
    def test_one_byte_over_is_refused(self, heavy: dict[str, int], named: str) -> None:
        """One byte over a limit stops the build, and the sum at fault is named."""
        with pytest.raises(SetUpFailed, match=named):
            budget.require_within(budget.weigh(LIGHT | heavy))
