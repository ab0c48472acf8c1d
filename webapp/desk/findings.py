"""Which findings stand open on a page and which fold, as on the phone (``static/ui/findings.js``).

Every stop stands open, then the first of each cause and at most three cautions: the one that
matters is not the fifth of a list. ``tests/vectors/findings.json`` holds both to the same answers.
"""

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

ORDER = {"stop": 0, "caution": 1, "note": 2}
CAUTIONS_OPEN = 3
AFTER_SURGERY = "after_surgery"
"""Not one cause: a closed angle and a high pressure each stand open beside the vault."""

Finding = Mapping[str, Any]


class Split(NamedTuple):
    """The findings, the gravest first."""

    open: list[Finding]
    folded: list[Finding]


def split(findings: Sequence[Finding]) -> Split:
    """Return the findings that stand open and those that fold."""
    parts = Split([], [])
    causes: set[str] = set()
    cautions = 0
    for one in sorted(findings, key=lambda finding: ORDER[finding["level"]]):
        cause = one["code"] if one["cause"] == AFTER_SURGERY else one["cause"]
        is_repeat = one["level"] != "stop" and cause in causes
        is_too_many = one["level"] == "caution" and cautions >= CAUTIONS_OPEN
        causes.add(cause)
        cautions += one["level"] == "caution" and not is_repeat
        (parts.folded if is_repeat or is_too_many else parts.open).append(one)
    return parts
