"""What two people record in theatre of a lens without a cylinder, for tests that go there."""

from typing import Any

TRACE = ("lot", "serial", "expiry_date")


def checked(label_id: str, label: dict[str, Any], eye: str, **changed: object) -> dict[str, Any]:
    """Return the body of a check that agrees: both people read what stands on the box.

    Args:
        label_id: of the check of the box that the desk made.
        label: its body.
        eye: that is marked on the person.
        changed: what this check says otherwise.
    """
    trace = {name: label["first"][name] for name in TRACE}
    return {
        "order": label["order"], "label": label_id, "person_confirmed": ["birth", "name"],
        "eye": eye, "code": None, "trace": trace, "second_trace": trace, "printed_same": 1,
        "incision_meridian_deg": None, "device_day": None, "outcome": "agrees", "why": None,
        "note": None, **changed,
    }  # fmt: skip


def stopped() -> dict[str, Any]:
    """Return what a check says that ends without a lens implanted."""
    return {"outcome": "not_implanted", "why": "turned", "note": "Upside down"}


def confirmed(check: str) -> dict[str, Any]:
    """Return the body of a second person's confirmation of a check."""
    return {"check": check, "marks": "seen", "axis_said": None}
