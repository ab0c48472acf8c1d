"""What a decision answers to the findings that were shown with it, for every test that decides."""

from typing import Any


def answers(shown: dict[str, Any], at: str) -> dict[str, list[dict[str, str]]]:
    """Return the fields that acknowledge each caution and give a reason for each stop.

    Args:
        shown: what was on the screen.
        at: when it was acknowledged.
    """
    by_level = {
        level: sorted({one["code"] for one in shown["findings"] if one["level"] == level})
        for level in ("caution", "stop")
    }
    return {
        "acknowledged": [{"code": code, "at": at} for code in by_level["caution"]],
        "overrides": [{"code": code, "reason": "weighed"} for code in by_level["stop"]],
    }
