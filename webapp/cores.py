"""The commands ``cores`` and ``recall-core``: the calculation cores known here; ending one."""

from webapp import options
from webapp.at_server import run, signed_in
from webapp.flow import open_plans, recalling
from webapp.flow.accounts import plain_name
from webapp.flow.actor import Actor
from webapp.flow.recalling import LEAST_SIGNS, Core
from webapp.flow.refusal import Refused

TWO = 2


def main(argv: list[str]) -> int:
    """Print the cores and the open plans that would change; return the exit code."""
    options.cores().parse_args(argv)
    return run(lambda: "\n".join([*map(line_of, recalling.known()), *open_lines()]))


def recall(argv: list[str]) -> int:
    """Recall a core in the names of two administrators; return the exit code."""
    chosen = options.recall_core().parse_args(argv)
    return run(lambda: recalled(chosen.core, chosen.reason, chosen.by))


def line_of(core: Core) -> str:
    """Return one core in a line."""
    if core.recall:
        state = f"recalled: {core.recall.why}"
    elif core.is_in_use:
        state = "in use"
    else:
        state = "kept" if core.is_kept else "unknown: nothing is ordered from its plans"
    return f"{core.sha256[:LEAST_SIGNS]}  {state}; plans: {core.plans}"


def open_lines() -> list[str]:
    """Return a line for each plan that is not ordered yet and was made by another core."""
    found = open_plans.of_other_cores()
    if not found:
        return ["Every open plan was made by the core in use."]
    lines = [
        f"  {'CHANGES' if plan.changes else 'same'}  {plan.person}.{plan.eye}, {plan.what} by "
        f"{plan.core[:LEAST_SIGNS]}. {plan.text}"
        for plan in sorted(found, key=lambda plan: (not plan.changes, plan.person, plan.eye))
    ]
    return ["Open plans of other cores, computed with the one in use:", *lines]


def recalled(begins: str, why: str, sign_in_names: list[str]) -> str:
    """Recall a core and return what was done. Raises: Refused."""
    if len({plain_name(name) for name in sign_in_names}) != TWO:
        raise Refused("recall.alone", "Two administrators recall a core: --by ONE --by ANOTHER")
    (first, secret), (second, other) = map(_administrator, sign_in_names)
    proposal = recalling.propose(first, begins, why, secret)
    recalling.confirm(second, proposal, other)
    core = recalling.named(begins)
    return f"Recalled: {core}, by {first.name} and {second.name}."


def _administrator(sign_in_name: str) -> tuple[Actor, str]:
    actor, passphrase = signed_in(sign_in_name)
    actor.require(recalling.ACTION)
    return actor, passphrase
