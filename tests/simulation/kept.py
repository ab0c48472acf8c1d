"""Failing histories, made smaller and kept for ever: each is run again by every check."""

import json
from collections.abc import Iterator
from pathlib import Path

from tests.simulation import many
from tests.simulation.history import Plan

FOLDER = Path(__file__).parent / "seeds"


def keep(plan: Plan) -> str:
    """Make a failing history smaller, keep it, and return the name of its file."""
    small = smaller(plan)
    path = FOLDER / f"seed-{small.seed}-{small.actions}-{small.phones}.json"
    path.write_text(json.dumps(small._asdict()) + "\n", encoding="utf-8")
    return path.name


def smaller(plan: Plan) -> Plan:
    """Return the smallest of the plans tried with this seed that still fails."""
    best = plan
    for candidate in candidates(plan):
        cheaper = (candidate.phones, candidate.actions) < (best.phones, best.actions)
        if cheaper and many.one(candidate).failures:
            best = candidate
    return best


def candidates(plan: Plan) -> Iterator[Plan]:
    """Yield plans of fewer phones and fewer actions, the largest steps first."""
    for phones in range(2, plan.phones):
        yield plan._replace(phones=phones)
    actions = plan.actions
    for phones in range(2, plan.phones + 1):
        for share in (2, 4, 8, 16):
            yield plan._replace(actions=max(1, actions // share), phones=phones)
        for fewer in range(1, actions, max(1, actions // 10)):
            yield plan._replace(actions=actions - fewer, phones=phones)


def all_kept() -> list[Plan]:
    """Return every history that failed once."""
    paths = sorted(FOLDER.glob("*.json"))
    return [Plan(**json.loads(path.read_text(encoding="utf-8"))) for path in paths]
