"""How the core refuses."""

import pytest

from webapp.core.errors import BadInput, OutOfRange, require


def test_require_lets_the_ends_pass() -> None:
    """Both ends of a range belong to it."""
    require("vertex_mm", 8.0, 8.0, 18.0, "mm")
    require("vertex_mm", 18.0, 8.0, 18.0, "mm")


@pytest.mark.parametrize("value", [7.999, 18.001, float("nan"), float("inf")])
def test_require_refuses(value: float) -> None:
    """Outside, and what is no number, is refused by field, with the range and its unit."""
    with pytest.raises(OutOfRange) as refusal:
        require("vertex_mm", value, 8.0, 18.0, "mm")
    assert refusal.value.field == "vertex_mm"
    assert "from 8 to 18 mm" in refusal.value.message


def test_the_tree_of_errors() -> None:
    """A caller that knows only ValueError still catches every refusal."""
    assert issubclass(OutOfRange, BadInput)
    assert issubclass(BadInput, ValueError)
