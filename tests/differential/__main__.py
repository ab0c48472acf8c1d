"""Compare the core's two Pythons: ``python3 -m tests differential --eyes N --seed S``.

Prints each difference as it is found and the count after each thousand; exit 1 on any. A run that
was cut short is gone on with by ``--start``.
"""

import argparse
import sys

from tests.differential import compare
from webapp.core_bundle import core_sha256

REPORT_EVERY = 1000


def main() -> int:
    """Run, print, and return the exit code."""
    asked = run_of(parser().parse_args())
    print(f"core {core_sha256()}, seed {asked.seed}, from eye {asked.start}", flush=True)
    differences = planned = done = 0
    for number, has_lens, found in compare.run(asked):
        planned, differences, done = planned + has_lens, differences + len(found), done + 1
        for one in found:
            print(one.text(), flush=True)
        if done % REPORT_EVERY == 0:
            print(progress(number, done, planned, differences), flush=True)
    print(f"{done} eyes, {planned} with a lens, {differences} differences")
    return 1 if differences else 0


def progress(number: int, done: int, planned: int, differences: int) -> str:
    """Return how far a run is: what stands is true even if the run is cut short here."""
    return (
        f"{done} eyes, {planned} with a lens, {differences} differences; go on with"
        f" --start {number + 1}"
    )


def run_of(asked: argparse.Namespace) -> compare.Run:
    """Return the run that the command line asks for."""
    return compare.Run(*(getattr(asked, name) for name in compare.Run._fields))


def parser() -> argparse.ArgumentParser:
    """Return what the command line may say."""
    made = argparse.ArgumentParser(prog="python3 -m tests differential", description=__doc__)
    made.add_argument("--eyes", type=int, default=5000, help="how many (5000)")
    made.add_argument("--seed", type=int, default=1, help="which (1)")
    made.add_argument("--start", type=int, default=0, help="number of the first eye (0)")
    made.add_argument(
        "--working-every", type=int, default=1, help="compare the working of one eye in so many (1)"
    )
    made.add_argument(
        "--fold-every", type=int, default=1, help="compare the case file of one eye in so many (1)"
    )
    return made


if __name__ == "__main__":
    sys.exit(main())
