"""The one check command: ``python3 -m tests [lint|js|unit|browser|simulation|...]``.

Without a word it runs everything. It sets up what it needs first, a browser included; every lane
runs even when an earlier one failed, and the exit code is 0 only when all passed.
"""

from __future__ import annotations

import sys

from webapp import bootstrap

USAGE = (
    "usage: python3 -m tests [lint | js | unit | postgresql | browser | simulation | mutants | long"
    " | bench | differential | calibration]"
    " [options for pytest, or of the program]"
)
PROGRAMS = ("bench", "differential", "calibration", "simulation", "mutants", "long")
WORDS = ("lint", "js", "unit", "postgresql", "browser", *PROGRAMS)


def main() -> int:
    """Set up, run the lanes that were asked for, print the summary; return the exit code."""
    word, options = (sys.argv[1], sys.argv[2:]) if sys.argv[1:] else ("", [])
    if word and word not in WORDS:
        print(USAGE, file=sys.stderr)
        return 2
    try:
        bootstrap.enter("tests", sys.argv[1:], extra="tests")
        return run(word, options)
    except bootstrap.SetUpFailed as failure:
        print(f"\n{failure}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        return 130


def run(word: str, options: list[str]) -> int:
    """Run inside the environment; its packages exist only from here on."""
    from tests import chromium, lanes
    from webapp.asset_build import build, node

    node.bring_packages_up_to_date(with_checks=True)
    if word in ("", "unit", "postgresql", "browser", "bench"):
        build.bring_up_to_date()
    if word in ("", "browser", "bench"):
        chromium.ensure()
    if word in PROGRAMS:
        return lanes.program(word, options)
    return lanes.run_all(word, options)


if __name__ == "__main__":
    sys.exit(main())
