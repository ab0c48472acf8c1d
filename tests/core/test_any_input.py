"""Whatever is typed, a calculation answers with finite numbers or refuses by field."""

import json
import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from webapp.core import fields
from webapp.core.calc import calculations
from webapp.core.calc.fields import Keratometry
from webapp.core.errors import BadInput

anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4)
    ),
    max_leaves=12,
)


def ends_and_between(low: float, high: float) -> st.SearchStrategy[float]:
    """Return a range with its ends drawn often."""
    return st.sampled_from([low, high]) | st.floats(low, high)


def usable(kind: Any) -> st.SearchStrategy[Any]:  # noqa: ANN401 - any kind of field
    """Return a strategy for values of a kind that its own table would mostly let pass."""
    if isinstance(kind, Keratometry):
        return st.one_of(usable(kind.given_in.dioptres), usable(kind.given_in.millimetres))
    if isinstance(kind, fields.Items):
        least, most = kind.row.least, kind.row.exactly or 4
        return st.lists(usable(kind.row.kind), min_size=least, max_size=most)
    if isinstance(kind, fields.Group):
        required = {f.name: usable(f.kind) for f in kind.build.fields if f.is_required}
        optional = {f.name: usable(f.kind) for f in kind.build.fields if not f.is_required}
        return st.fixed_dictionaries(required, optional=optional)
    return usable_single(kind)


def usable_single(kind: Any) -> st.SearchStrategy[Any]:  # noqa: ANN401 - any kind of field
    """Return a strategy for a number or a word."""
    if isinstance(kind, fields.VaultNumber):
        return st.just(0.0) | ends_and_between(10.0, kind.range.limits.high)
    if isinstance(kind, fields.Axis):
        return ends_and_between(0.0, 180.0)
    if isinstance(kind, fields.Name):
        words = kind.words or ("one", "excess_mm", "lens_rise_mm", "effect:a", "a")
        return st.sampled_from(words)
    return ends_and_between(kind.limits.low, kind.limits.high)


def is_finite(value: object) -> bool:
    """Return whether every number of an answer is finite."""
    if isinstance(value, dict):
        return all(is_finite(inner) for inner in value.values())
    if isinstance(value, list):
        return all(is_finite(inner) for inner in value)
    return not isinstance(value, float) or math.isfinite(value)


def answers_or_refuses(calculation: Any, given: object) -> None:  # noqa: ANN401 - a Calculation
    """Assert that an input is answered in finite numbers or refused by a named field."""
    try:
        answer = calculations.worked(calculation, given)
    except BadInput as refusal:
        assert refusal.field
        assert refusal.message
    else:
        assert is_finite(answer)
        json.dumps(answer, allow_nan=False)


@pytest.mark.parametrize("calculation", calculations.ALL, ids=lambda one: str(one.name))
@settings(max_examples=100)
@given(st.data())
def test_values_within_their_ranges(calculation: Any, data: st.DataObject) -> None:  # noqa: ANN401
    """Values within their ranges, ends included, in every combination."""
    answers_or_refuses(calculation, data.draw(usable(calculation.input)))


@pytest.mark.parametrize("calculation", calculations.ALL, ids=lambda one: str(one.name))
@settings(max_examples=50)
@given(anything)
def test_anything(calculation: Any, given: object) -> None:  # noqa: ANN401
    """Any JSON at all."""
    answers_or_refuses(calculation, given)
