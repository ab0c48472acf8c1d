"""How heavy the offline app may be for a slow link, and what it weighs now (brotli)."""

from typing import NamedTuple

from webapp.bootstrap import SetUpFailed

# The engine is MicroPython's two files, which change only when its pinned version does.
ENGINE = ("wasm", "micropython")
# The code reader is such an engine too, for the parts that scan.
READER = "code_reader"
# The pages of each part [kB]: an aim, and a limit at which a part is as heavy as half the app.
PART_AIM_KB, PART_LIMIT_KB = 25, 50


class Weight(NamedTuple):
    """One line of the budget, in kilobytes of 1,000 bytes as sent.

    The aim is what a first visit over a poor mobile link should cost; past the limit the build
    fails. Both are ours (no published figure): a limit is never raised without saying why here.
    Raised once, by 15 kB for the pages and 70 kB with the core, for further readings, the working
    and what to measure next: each is worth more at a camp than the second it costs to fetch, once.
    Raised again, by 5 kB for the pages: what locks the phone, what says "not kept", and what puts a
    wrong record of a surgery right where it was made are needed. Raised by 2 kB more for what
    cannot wait after surgery, who was told, and who is due: an eye is lost without them. Raised by
    2 kB for a new signing key and for taking off the phone what it needs no more: a stolen phone
    then holds, and signs, less. Raised by 2 kB for the trends of a lens and the words about people
    joined: both are read where there is no network. Raised by 6 kB for the parts: what they share
    is a file of its own with a list of names on both sides, and compresses apart; in exchange the
    pages of theatre and of exchanges weigh on nobody else. Raised by 7 kB for the visit after
    surgery in one run, for the calls of a recall, and for what the surgeon's page lends to the
    pages of an exchange, which compresses apart. Raised by 1 kB for the back-up lens: it is
    named where the lens is chosen, on a page of the app itself. Raised by 1 kB for what is said at
    the device: two numbers that cannot stand together, which reading is withdrawn, and that an eye
    still waits on this phone. With the core raised by 40 kB for
    what an exchange weighs up and what theatre asks: both are asked where there is no network; by
    10 kB more for the days that people were told to come back on, and for lenses implanted although
    they were not to be: a phone at a camp calls for the one and warns of the other.
    """

    name: str
    sent_bytes: int
    aim_kb: int
    limit_kb: int

    def line(self) -> str:
        """Return the line as printed."""
        return f"{self.name:<30} {self.sent_bytes / 1000:6.1f} kB, {self._verdict()}"

    def is_within_limit(self) -> bool:
        """Return whether the part keeps to its limit."""
        return self.sent_bytes <= self.limit_kb * 1000

    def _verdict(self) -> str:
        if not self.is_within_limit():
            return f"OVER THE LIMIT of {self.limit_kb} kB"
        is_within_aim = self.sent_bytes <= self.aim_kb * 1000
        return f"{'within' if is_within_aim else 'over'} the aim of {self.aim_kb} kB"


def weigh(sent: dict[str, int], parts: dict[str, dict[str, int]]) -> list[Weight]:
    """Return the sums that are limited.

    Args:
        sent: file -> bytes sent, for each file that every phone keeps.
        parts: part -> file -> bytes sent, for what only some keep beside it.
    """
    everything = sum(sent.values())
    engine = sum(sent[name] for name in ENGINE)
    shell = everything - engine - sent["core"]
    some = {file: size for part in parts.values() for file, size in part.items()}
    return [
        Weight("pages and own code", shell, aim_kb=40, limit_kb=116),
        Weight("with engine and core", everything, aim_kb=240, limit_kb=470),
        Weight("everything kept on the phone", everything, aim_kb=600, limit_kb=600),
        *(_part(name, sizes) for name, sizes in sorted(parts.items())),
        Weight("with all parts", everything + sum(some.values()), aim_kb=850, limit_kb=900),
    ]


def _part(name: str, sizes: dict[str, int]) -> Weight:
    """Return the line of a part's pages; the code reader is kept with them, and fetched once."""
    own = sum(size for file, size in sizes.items() if file != READER)
    return Weight(f"part: {name}", own, aim_kb=PART_AIM_KB, limit_kb=PART_LIMIT_KB)


def require_within(weights: list[Weight]) -> None:
    """Refuse a build that a slow link could not carry.

    Raises:
        SetUpFailed: a sum is over its limit.
    """
    over = [weight.line() for weight in weights if not weight.is_within_limit()]
    if over:
        raise SetUpFailed("The browser's files are over their budget: " + "; ".join(over))
