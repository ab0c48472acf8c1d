"""Put the vault prediction to the proof: ``python3 -m tests calibration --centres N --people M``.

Draws centres and eyes whose true vault is known, plans every second eye in several ways through the
one door, and prints what was promised beside what came. The same seed prints the same numbers.
"""

import argparse
import sys

from tests.calibration import run, truth
from webapp.core_bundle import core_sha256


def main() -> int:
    """Run, print, and return 0: what the tables say is for a reader to judge."""
    asked = parser().parse_args()
    eyes = asked.centres * asked.people
    print(f"core {core_sha256()}, seed {asked.seed}: {asked.centres} centres, {eyes} second eyes"
          " in each world, the same for every way", flush=True)  # fmt: skip
    for world in truth.WORLDS:
        made = run.found_in(world, asked.seed, asked.centres, asked.people)
        print("\n".join(run.report(world, made)), flush=True)
    return 0


def parser() -> argparse.ArgumentParser:
    """Return what the command line may say."""
    made = argparse.ArgumentParser(prog="python3 -m tests calibration", description=__doc__)
    made.add_argument("--centres", type=int, default=100, help="how many centres (100)")
    made.add_argument("--people", type=int, default=20, help="people in each (20)")
    made.add_argument("--seed", type=int, default=1, help="which (1)")
    return made


if __name__ == "__main__":
    sys.exit(main())
