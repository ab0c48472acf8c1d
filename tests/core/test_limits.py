"""Limits: each has a source, and each is read somewhere."""

from pathlib import Path

from webapp.core import limits

D06_ENDS = ("end_pmm2", "loss_e4_per_y")


def test_each_limit_has_a_source() -> None:
    """A default that nobody can trace is no default."""
    assert len({limit.name for limit in limits.LIMITS}) == len(limits.LIMITS)
    assert all(limit.source and limit.meaning for limit in limits.LIMITS)


def test_each_limit_is_used() -> None:
    """A limit that nothing reads would promise what it does not do."""
    others = [path for path in Path(limits.__file__).parent.rglob("*.py") if path.stem != "limits"]
    text = "".join(path.read_text("utf-8") for path in others)
    # The three rows of rule D06 are named by their row: "ecd_" + row + "_end_pmm2".
    rows = {f"ecd_{row}_{end}" for row in ("stop", "caution", "note") for end in D06_ENDS}
    unread = {limit.name for limit in limits.LIMITS if f'"{limit.name}"' not in text}
    assert unread == rows
    assert all(f'"_{end}"' in text for end in D06_ENDS)
