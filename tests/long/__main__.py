"""Run what takes hours: ``python3 -m tests long [--only NAME ...] [--scale SHARE]``.

Every piece that ended is noted in ``.long/state.json`` with how it went; stopped and started
again, the run goes on with the next piece. ``--again`` begins anew. The summary at the end counts
every piece; exit 1 when any of them failed.
"""

import argparse
import sys

from tests.long import pieces, state


def main() -> int:
    """Run, print the summary, and return the exit code."""
    asked = parser().parse_args()
    if asked.again:
        state.forget()
    chosen = pieces.of(asked.only or list(pieces.NAMES), asked.scale)
    done = state.read()
    for piece in chosen:
        if piece.name in done:
            continue
        print(f"\n== {piece.name}", flush=True)
        done[piece.name] = pieces.run(piece)
        state.keep(done)
    return summary(chosen, done)


def summary(chosen: list[pieces.Piece], done: dict[str, state.Ended]) -> int:
    """Print how every kind of piece went and return the exit code."""
    print("\nSummary")
    for kind in dict.fromkeys(piece.kind for piece in chosen):
        ended = [done[piece.name] for piece in chosen if piece.kind == kind]
        failed = [one for one in ended if not one["passed"]]
        seconds = sum(one["seconds"] for one in ended)
        word = "FAILED" if failed else "ok    "
        print(f"  {word}  {seconds:8.0f} s  {kind}: {len(ended)} pieces, {len(failed)} failed")
        for one in failed or ended[-1:]:
            print(f"            {one['last_line']}")
    return 0 if all(done[piece.name]["passed"] for piece in chosen) else 1


def parser() -> argparse.ArgumentParser:
    """Return what the command line may say."""
    made = argparse.ArgumentParser(prog="python3 -m tests long", description=__doc__)
    made.add_argument("--only", nargs="+", choices=pieces.NAMES, metavar="NAME",
                      help=", ".join(pieces.NAMES))  # fmt: skip
    made.add_argument("--scale", type=float, default=1.0, help="share of the whole (1)")
    made.add_argument("--again", action="store_true", help="forget what was done before")
    return made


if __name__ == "__main__":
    sys.exit(main())
