"""Run the machine: ``python -m tests.approval_machine --examples 2000 --seed 1``."""

import argparse
import sys
import time

from tests.approval_machine.machine import not_reached, run


def main() -> int:
    """Run, print what was reached, and return 1 where something was not."""
    options = argparse.ArgumentParser(prog="python -m tests.approval_machine")
    options.add_argument("--examples", type=int, default=2000)
    options.add_argument("--steps", type=int, default=12)
    options.add_argument("--seed", type=int, default=None)
    given = options.parse_args()
    begun = time.monotonic()
    reached = run(given.examples, given.steps, given.seed)
    for name, count in sorted(reached.items()):
        print(f"{count:8d}  {name}")
    lacking = not_reached(reached)
    if lacking:
        print("never reached: " + ", ".join(lacking))
    print(f"{given.examples} histories, 0 failures, {time.monotonic() - begun:.0f} s")
    return 1 if lacking else 0


if __name__ == "__main__":
    sys.exit(main())
