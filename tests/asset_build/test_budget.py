"""The weight of the offline app: what is added up, and that too much is refused."""

import pytest

from webapp.asset_build import budget
from webapp.bootstrap import SetUpFailed

# Bytes sent for each part, invented; the engine's two files count in the larger sums only.
LIGHT = {"wasm": 165_000, "micropython": 23_000, "core": 11_000, "main": 30_000, "css": 8_000}
# A part with pages and the code reader, and one that shares a file with it.
SHARED = {"chunk": 5_000}
PARTS = {"theatre": {"pages": 20_000, "code_reader": 300_000} | SHARED, "other": SHARED}


class TestWeigh:
    """The sums."""

    def test_sums(self) -> None:
        """Pages alone, pages with engine and core, everything, and all parts, added by hand."""
        found = [weight.sent_bytes for weight in budget.weigh(LIGHT, {})]
        assert found == [38_000, 237_000, 237_000, 237_000]

    def test_parts(self) -> None:
        """Each part without the code reader; all of them with it, a shared file counted once."""
        found = {weight.name: weight.sent_bytes for weight in budget.weigh(LIGHT, PARTS)}
        assert (found["part: theatre"], found["part: other"]) == (25_000, 5_000)
        assert found["with all parts"] == 237_000 + 325_000


class TestLine:
    """What the build prints."""

    @pytest.mark.parametrize(
        ("main_bytes", "words"),
        [(32_000, "within the aim"), (32_001, "over the aim"), (108_001, "OVER THE LIMIT")],
    )
    def test_says_how_it_stands(self, main_bytes: int, words: str) -> None:
        """A sum over its aim is never printed as if it were within."""
        pages = budget.weigh(LIGHT | {"main": main_bytes}, {})[0]
        assert words in pages.line()


class TestRequireWithin:
    """The refusal."""

    def test_light_enough_passes(self) -> None:
        """A build within each limit goes on."""
        budget.require_within(budget.weigh(LIGHT, PARTS))

    def test_what_just_keeps_to_its_limit_passes(self) -> None:
        """The limit itself is still allowed."""
        budget.require_within(budget.weigh(LIGHT | {"main": 108_000}, {}))

    @pytest.mark.parametrize(
        ("heavy", "named"),
        [
            ({"main": 108_001}, "pages and own code"),
            ({"wasm": 398_001}, "with engine and core"),
        ],
    )
    def test_one_byte_over_is_refused(self, heavy: dict[str, int], named: str) -> None:
        """One byte over a limit stops the build, and the sum at fault is named."""
        with pytest.raises(SetUpFailed, match=named):
            budget.require_within(budget.weigh(LIGHT | heavy, {}))

    def test_a_part_that_is_too_heavy_is_refused(self) -> None:
        """A part has a limit of its own; the code reader is not counted in it."""
        budget.require_within(budget.weigh(LIGHT, {"theatre": {"pages": 50_000, "code_reader": 1}}))
        with pytest.raises(SetUpFailed, match="part: theatre"):
            budget.require_within(budget.weigh(LIGHT, {"theatre": {"pages": 50_001}}))
