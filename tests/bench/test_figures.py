"""The benchmarks' own arithmetic."""

import json

import pytest

from tests.bench import figures


class TestRatio:
    """What a line says."""

    def test_the_value_is_the_median_of_each_rounds_own_ratio(self) -> None:
        """2/1, 9/3 and 40/10 give 3, with 2 and 4 as noise; the sums would give 51/14."""
        line = figures.ratio("push", [2.0, 9.0, 40.0], [1.0, 3.0, 10.0], {"rows": 7})
        assert line.value == 3.0
        assert (line.conditions["min"], line.conditions["max"]) == (2.0, 4.0)
        assert line.conditions["rounds"] == 3
        assert line.conditions["rows"] == 7
        assert line.conditions["ours_ms"] == {"median": 9.0, "min": 2.0, "max": 40.0}

    def test_rounds_must_pair(self) -> None:
        """A time without its partner is a mistake, not a round."""
        with pytest.raises(ValueError, match="zip"):
            figures.ratio("push", [1.0, 2.0], [1.0], {})

    def test_a_line_is_one_json_object_with_three_digits(self) -> None:
        """Whole numbers stay whole; the others are rounded, in lists and objects too."""
        text = figures.Line("push", 3.14159, "x", {"rows": 12345, "ms": [0.0123456]}).text()
        assert "\n" not in text
        assert json.loads(text) == {
            "name": "push", "value": 3.14, "unit": "x",
            "conditions": {"rows": 12345, "ms": [0.0123]},
        }  # fmt: skip


@pytest.mark.parametrize(("percent", "expected"), [(50, 50), (95, 95), (100, 100), (1, 1)])
def test_percentile_is_one_of_the_values(percent: float, expected: int) -> None:
    """Nearest rank: of 1 to 100 the 95th percentile is 95, whatever the order."""
    assert figures.percentile(list(range(100, 0, -1)), percent) == expected


def test_percentile_of_few_values_is_the_largest() -> None:
    """Of three values the third is the first that 95 in 100 do not exceed."""
    assert figures.percentile([1.0, 3.0, 2.0], 95) == 3.0
