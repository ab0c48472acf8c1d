"""How heavy the offline app may be for a slow link, and what it weighs now (brotli)."""

from typing import NamedTuple

from webapp.bootstrap import SetUpFailed

# Kilobytes of 1,000 bytes, as sent. Our own aims for a first visit over a poor mobile link.
SHELL_KB = 40
FIRST_CAPTURE_KB = 240
EVERYTHING_KB = 600
ENGINE = ("wasm", "micropython")


class Weight(NamedTuple):
    """One line of the budget."""

    name: str
    sent_bytes: int
    limit_kb: int

    def line(self) -> str:
        """Return the line as printed."""
        verdict = "" if self.is_within() else "  OVER"
        return f"  {self.name:<30} {self.sent_bytes / 1000:6.1f} kB of {self.limit_kb} kB{verdict}"

    def is_within(self) -> bool:
        """Return whether the part keeps to its limit."""
        return self.sent_bytes <= self.limit_kb * 1000


def weigh(sent: dict[str, int]) -> list[Weight]:
    """Return the three sums that are limited.

    Args:
        sent: part name -> bytes sent, for each part that a phone keeps.
    """
    everything = sum(sent.values())
    engine = sum(sent[name] for name in ENGINE)
    shell = everything - engine - sent["core"]
    return [
        Weight("pages and own code", shell, SHELL_KB),
        Weight("with the calculation core", everything, FIRST_CAPTURE_KB),
        Weight("everything kept on the phone", everything, EVERYTHING_KB),
    ]


def require_within(weights: list[Weight]) -> None:
    """Refuse a build that a slow link could not carry.

    Raises:
        SetUpFailed: a sum is over its limit.
    """
    over = [weight.line().strip() for weight in weights if not weight.is_within()]
    if over:
        raise SetUpFailed("The browser's files are over their budget: " + "; ".join(over))
