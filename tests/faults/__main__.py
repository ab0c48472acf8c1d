"""Kill the server again and again: ``python3 -m tests.faults --kills 200 --seed 1``."""

import argparse
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.faults import kills


def main() -> int:
    """Run, print, and return the exit code."""
    made = argparse.ArgumentParser(prog="python3 -m tests.faults", description=__doc__)
    made.add_argument("--kills", type=int, default=200, help="how many (200)")
    made.add_argument("--seed", type=int, default=1, help="which (1)")
    asked = made.parse_args()
    with TemporaryDirectory(prefix="lampside-kills-") as folder:
        found = kills.run(Path(folder), asked.kills, asked.seed)
    for failure in found.failures:
        print(failure)
    print(
        f"batches acknowledged {found.acknowledged}, orders acknowledged {found.orders},"
        f" requests cut off {found.cut_off}"
    )
    print(f"{found.kills} kills, {len(found.failures)} failures")
    return 1 if found.failures else 0


if __name__ == "__main__":
    sys.exit(main())
