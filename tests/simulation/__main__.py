"""Run whole histories: ``python3 -m tests simulation --histories N --seed S``.

Prints what failed with its seed, what was reached, and ends with "N histories, F failures"; exit 1
on any failure. A failing history is made smaller and kept in ``tests/simulation/seeds``.
"""

import argparse
import os
import sys
from collections import Counter

from tests.simulation import kept, many, stories

REPORT_EVERY = 1000


def main() -> int:
    """Run, print, and return the exit code."""
    asked = parser().parse_args()
    failures, reach, done = 0, Counter[str](), 0
    plans = kept.all_kept() if asked.kept else many.plans(asked.seed, asked.histories)
    if asked.story:
        plans = [plan._replace(story=asked.story) for plan in plans]
    for outcome in many.run(plans, asked.processes):
        done += 1
        reach += outcome.reach
        if outcome.failures:
            failures += 1
            print(f"seed {outcome.plan.seed}: " + "; ".join(outcome.failures[:3]), flush=True)
            if failures <= asked.keep:
                print(f"  kept as {kept.keep(outcome.plan)}", flush=True)
            if asked.until_failure:
                break
        if done % REPORT_EVERY == 0:
            print(f"{done} of {asked.histories}, {failures} failures", flush=True)
    print("reached: " + ", ".join(f"{name} {times}" for name, times in sorted(reach.items())))
    unreached = many.unreached(reach) if done >= many.ENOUGH else []
    for name in unreached:
        print(f"never reached: {name}")
    print(f"{done} histories, {failures} failures")
    return 1 if failures or unreached else 0


def parser() -> argparse.ArgumentParser:
    """Return what the command line may say."""
    made = argparse.ArgumentParser(prog="python3 -m tests simulation", description=__doc__)
    made.add_argument("--histories", type=int, default=2000, help="how many (2000)")
    made.add_argument("--seed", type=int, default=1, help="the first (1)")
    made.add_argument("--processes", type=int, default=os.cpu_count() or 1)
    made.add_argument("--keep", type=int, default=3, help="most failing seeds to make smaller (3)")
    made.add_argument("--kept", action="store_true", help="those that failed once, no others")
    made.add_argument("--story", choices=stories.OWNERS, help="all of this kind, not as drawn")
    made.add_argument("--until-failure", action="store_true", help="end with the first that fails")
    return made


if __name__ == "__main__":
    sys.exit(main())
