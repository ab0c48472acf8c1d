"""Which pieces of a long run have ended, in a file that a stopped run goes on from."""

import json
from typing import TypedDict

from webapp.bootstrap import ROOT

FILE = ROOT / ".long" / "state.json"


class Ended(TypedDict):
    """How one piece went."""

    passed: bool
    seconds: float
    last_line: str


def read() -> dict[str, Ended]:
    """Return name -> how it went, of every piece that ended."""
    if not FILE.exists():
        return {}
    done: dict[str, Ended] = json.loads(FILE.read_text(encoding="utf-8"))
    return done


def keep(done: dict[str, Ended]) -> None:
    """Write the file whole or not at all."""
    FILE.parent.mkdir(exist_ok=True)
    draft = FILE.with_suffix(".new")
    draft.write_text(json.dumps(done, indent=1) + "\n", encoding="utf-8")
    draft.replace(FILE)


def forget() -> None:
    """Begin anew."""
    FILE.unlink(missing_ok=True)
