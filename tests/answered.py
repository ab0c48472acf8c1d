"""What a decision says of the findings that were shown with it, for every test that decides."""

from typing import Any

SURE = {name: "sure" for name in ("scan", "label", "orientation", "eye")}


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


def about_lens(shown: dict[str, Any], digest: str, decision: str, at: str) -> dict[str, Any]:
    """Return the body of a decision about the lens in an eye, every finding answered.

    Args:
        shown: what was on the screen.
        digest: of that.
        decision: what was decided.
        at: when the findings were acknowledged.
    """
    return {
        "implant": shown["implant"],
        "shown": shown,
        "digest": digest,
        "decision": decision,
        "sure": SURE,
        **answers(shown, at),
        "note": None,
        "read_to_end": 1,
    }
