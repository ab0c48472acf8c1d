"""Compare the core's two Pythons: ``python3 -m tests differential --eyes N --seed S``.

Prints each difference as it is found and ends with "N eyes, D differences"; exit 1 on any.
"""

import argparse
import sys

from tests.differential import compare

REPORT_EVERY = 1000


def main() -> int:
    """Run, print, and return the exit code."""
    asked = parser().parse_args()
    differences = planned = 0
    for number, has_lens, found in compare.run(asked.seed, asked.eyes):
        planned += has_lens
        differences += len(found)
        for one in found:
            print(one.text(), flush=True)
        if (number + 1) % REPORT_EVERY == 0:
            print(f"{number + 1} of {asked.eyes}, {planned} with a lens", flush=True)
    print(f"{asked.eyes} eyes, {differences} differences")
    return 1 if differences else 0


def parser() -> argparse.ArgumentParser:
    """Return what the command line may say."""
    made = argparse.ArgumentParser(prog="python3 -m tests differential", description=__doc__)
    made.add_argument("--eyes", type=int, default=5000, help="how many (5000)")
    made.add_argument("--seed", type=int, default=1, help="which (1)")
    return made


if __name__ == "__main__":
    sys.exit(main())
