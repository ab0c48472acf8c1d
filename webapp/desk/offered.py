"""The lenses of a plan beside each other: what each leaves, and how it misses the aim."""

from collections.abc import Mapping
from typing import Any, NamedTuple

LENS = ("model", "sphere_cD", "cylinder_cD", "axis_deg")


class Row(NamedTuple):
    """One lens: its power, what it leaves, why it stands here, and whether it is the approved."""

    lens: Mapping[str, Any]
    predicted: Mapping[str, Any]
    why: str
    is_chosen: bool


class Offered(NamedTuple):
    """The lenses of one length, the best first, beside the exact power that none is made in."""

    length_um: int
    exact: Mapping[str, Any]
    rows: list[Row]


def of_plan(plan: Mapping[str, Any], lens: Mapping[str, Any] | None) -> Offered | None:
    """Return the lenses of the approved length, or of the recommended one before an approval.

    Args:
        plan: as the core answers it.
        lens: the approved one, or None. Where it is none of the best three it heads the list, with
            what the plan expects of it if the catalogue has it still.
    """
    in_view = lens or plan.get("recommended")
    lengths = plan.get("lengths") or []
    length = next(
        (one for one in lengths if in_view and one["length_um"] == in_view["length_um"]), None
    )
    if length is None or in_view is None or length["exact"] is None:
        return None
    rows = [
        Row(one, one["predicted"], one["why"], lens is not None and _is_same(one, lens))
        for one in length["lenses"]
    ]
    shown = plan.get("shown")
    if lens is not None and shown and not any(row.is_chosen for row in rows):
        rows.insert(0, Row(lens, shown["predicted"], "chosen by hand", is_chosen=True))
    return Offered(length["length_um"], length["exact"], rows)


def _is_same(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    return all(one[name] == other[name] for name in LENS)
