"""The command ``withdraw``: take an adopted vault model out of force, in a surgeon's name."""

from webapp import options
from webapp.at_server import run, signed_in
from webapp.flow import folding, reference
from webapp.flow.refusal import Refused

LEAST_SIGNS = 12


def main(argv: list[str]) -> int:
    """Withdraw one model, or list those that were adopted; return the exit code."""
    chosen = options.withdraw().parse_args(argv)
    if chosen.adoption is None:
        return run(listed)
    by, why = chosen.surgeon or "", chosen.reason or ""
    return run(lambda: withdrawn(chosen.adoption, by, why))


def listed() -> str:
    """Return a line for each adopted model, newest first."""
    out = reference.withdrawn()
    in_force = [model["id"] for model in folding.in_force()["vault_models"]]
    lines = []
    for one in reference.versions(folding.VAULT_MODEL):
        state = "in force" if one.id in in_force else "replaced"
        state = f"withdrawn: {out[one.id].reason}" if one.id in out else state
        lines.append(f"{one.id[:LEAST_SIGNS]}  {one.body['title']}, {state}")
    return "\n".join(lines) or "No vault model was adopted."


def withdrawn(begins: str, sign_in_name: str, why: str) -> str:
    """Withdraw the model whose id begins so and return what was done. Raises: Refused."""
    if not sign_in_name:
        raise Refused("surgeon.missing", "Say who withdraws it: --surgeon SIGN-IN-NAME.")
    versions = reference.versions(folding.VAULT_MODEL)
    named = [one for one in versions if one.id.startswith(begins)]
    if len(begins) < LEAST_SIGNS or len(named) != 1:
        raise Refused("vault_model.unknown", "No one adopted model has an id that begins so.")
    actor, _ = signed_in(sign_in_name)
    reference.withdraw_vault_model(actor, named[0].id, why)
    return f"Withdrawn: {named[0].body['title']}, by {actor.name}. Plans use the default prior."
