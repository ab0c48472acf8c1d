"""Take each safety check out in turn: ``python3 -m tests mutants``.

Names the test that caught each mutant and ends with "K of M mutants caught"; exit 1 unless all
were. Without any edit every killer must pass first, or its failing would say nothing.
"""

import argparse
import os
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import SimpleQueue
from tempfile import TemporaryDirectory

from tests.mutants.everything import MUTANTS
from tests.mutants.mutant import Mutant
from tests.mutants.trial import Copy, Verdict
from webapp.asset_build.node import bring_packages_up_to_date


def main() -> int:
    """Run, print, and return the exit code."""
    asked = parser().parse_args()
    # All copies share these: fetched by a test inside of one, they would be gone for the others.
    bring_packages_up_to_date(with_checks=True)
    chosen = [one for one in MUTANTS if asked.only in one.name][asked.first :: asked.every]
    with TemporaryDirectory(prefix="lampside-mutants-") as folder:
        copies = [Copy(Path(folder) / str(place)) for place in range(asked.processes)]
        for killer in sorted({killer for one in chosen for killer in one.killers}):
            if broken := copies[0].failing(killer):
                print(f"fails without any mutant: {broken}")
                return 1
        verdicts = list(tried(chosen, copies))
    caught = sum(bool(one.caught_by) for one in verdicts)
    print(f"{caught} of {len(verdicts)} mutants caught")
    return 0 if verdicts and caught == len(verdicts) else 1


def tried(chosen: list[Mutant], copies: list[Copy]) -> Iterator[Verdict]:
    """Yield the verdict on each mutant, telling it; as many at once as there are copies."""
    free: SimpleQueue[Copy] = SimpleQueue()
    for copy in copies:
        free.put(copy)

    def try_one(mutant: Mutant) -> Verdict:
        copy = free.get()
        try:
            return copy.tried(mutant)
        finally:
            free.put(copy)

    with ThreadPoolExecutor(len(copies)) as pool:
        for verdict in pool.map(try_one, chosen):
            print(line(verdict), flush=True)
            yield verdict


def line(verdict: Verdict) -> str:
    """Return what is told of one mutant."""
    name = verdict.mutant.name
    if verdict.caught_by:
        return f"  caught    {name}  by {verdict.caught_by}"
    return f"  SURVIVED  {name}: {verdict.trouble or verdict.mutant.why}"


def parser() -> argparse.ArgumentParser:
    """Return what the command line may say."""
    made = argparse.ArgumentParser(prog="python3 -m tests mutants", description=__doc__)
    made.add_argument("--only", default="", help="those whose name holds this text")
    made.add_argument("--every", type=int, default=1, help="one in so many (1: all)")
    made.add_argument("--first", type=int, default=0, help="which of them to begin with (0)")
    made.add_argument("--processes", type=int, default=os.cpu_count() or 1)
    return made


if __name__ == "__main__":
    sys.exit(main())
