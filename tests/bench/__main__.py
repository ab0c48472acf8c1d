"""Run the benchmarks and print one JSON object a line.

``python3 -m tests bench [NAME ...] [--rows N]``, from the environment of the tests.
"""

import argparse
import sys

from tests.bench import cold_start, growth, plan, slow_uploads, sync, worklist

BENCHMARKS = {
    "cold-start": cold_start.run,
    "plan": plan.run,
    "sync": sync.run,
    "growth": growth.run,
    "slow-uploads": slow_uploads.run,
    "worklist": worklist.run,
    "worklist-postgresql": worklist.run_on_postgresql,
}


def main() -> None:
    """Run those that are named, or all, printing each line as soon as it is known."""
    chosen = parser().parse_args()
    for name in chosen.names or BENCHMARKS:
        for line in BENCHMARKS[name](chosen.rows):
            print(line.text(), flush=True)


def parser() -> argparse.ArgumentParser:
    """Return what the command line may say."""
    made = argparse.ArgumentParser(prog="python3 -m tests bench", description=__doc__)
    made.add_argument("names", nargs="*", metavar="NAME", help=", ".join(BENCHMARKS))
    made.add_argument("--rows", type=rows, default=10_000, help="records pushed (10000)")
    return made


def rows(text: str) -> int:
    """Return a number of records: enough for each phone to send a whole batch each round."""
    value = int(text)
    if value < sync.FEWEST_ROWS:
        raise argparse.ArgumentTypeError(f"at least {sync.FEWEST_ROWS}")
    return value


if __name__ == "__main__":
    sys.exit(main())
