"""Draw other examples for each property test: ``python -m tests.fuzzers --minutes 10 --seed 1``."""

import argparse
import sys

from tests.fuzzers.rounds import every_test_passes, rounds


def main() -> int:
    """Run, print the seeds that failed, and return the exit code."""
    made = argparse.ArgumentParser(prog="python -m tests.fuzzers", description=__doc__)
    made.add_argument("--minutes", type=float, default=10, help="begin no round after these (10)")
    made.add_argument("--seed", type=int, default=1, help="of the first round (1)")
    asked = made.parse_args()
    run, failed = rounds(asked.minutes, asked.seed, every_test_passes)
    if failed:
        print("failed with --seed " + ", ".join(map(str, failed)))
    print(f"{run} rounds of the property tests, {len(failed)} failures")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
