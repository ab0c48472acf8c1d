"""Rounds of every property test, each round with examples that no earlier one drew.

The daily check draws the same examples each time, so that it fails for a change alone; what those
examples miss, only other ones find.
"""

import subprocess
import sys
import time
from collections.abc import Callable

from webapp.bootstrap import ROOT

DRAWN = "drawn"
"""The settings whose examples follow the seed; ``tests/conftest.py`` has them."""
CHOSEN = "hypothesis and not browser"


def rounds(minutes: float, seed: int, passes: Callable[[int], bool]) -> tuple[int, list[int]]:
    """Return how many rounds were run, and the seeds of those that failed.

    Args:
        minutes: no round is begun later than this; the first always is.
        seed: of the first round; each round has the next one.
        passes: runs the round of one seed and says whether every test passed.
    """
    until_s = time.monotonic() + 60 * minutes
    run, failed = 0, []
    while run == 0 or time.monotonic() < until_s:
        if not passes(seed + run):
            failed.append(seed + run)
        run += 1
    return run, failed


def every_test_passes(seed: int) -> bool:
    """Run every property test on the examples of one seed; pytest prints what fails."""
    words = [sys.executable, "-m", "pytest", "-q", "-m", CHOSEN, "-p", "no:cacheprovider"]
    drawn = [f"--hypothesis-profile={DRAWN}", f"--hypothesis-seed={seed}"]
    print(f"\nseed {seed}", flush=True)
    return subprocess.run([*words, *drawn], cwd=ROOT, check=False).returncode == 0
