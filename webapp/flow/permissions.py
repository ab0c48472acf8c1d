"""Who may do what: ``permissions.json`` as the server reads it; what is not in it is refused.

Which record kind which role may sign stands in ``records/kinds.json``, which phones read too.
"""

import json
from pathlib import Path

FILE = Path(__file__).with_name("permissions.json")
EVERYWHERE = "everywhere"
PUBLIC = "public"

_TABLE = json.loads(FILE.read_text(encoding="utf-8"))
_PUBLIC_ROUTES = frozenset(_TABLE["public"])
_ROUTES: dict[str, str] = _TABLE["routes"]

ROLES: dict[str, str] = _TABLE["roles"]
"""Every role a person can hold, with its title."""

ACTIONS: dict[str, dict[str, str]] = {name: row["roles"] for name, row in _TABLE["actions"].items()}
"""Action -> role -> scope: ``own_sites`` or ``everywhere``."""


def action_of(method: str, rule: str) -> str | None:
    """Return the action that a route is, ``public``, or None for a route that nobody listed.

    Args:
        method: of HTTP; HEAD asks for what GET would give.
        rule: the route's pattern, as it was registered.
    """
    route = f"{'GET' if method == 'HEAD' else method} {rule}"
    return PUBLIC if route in _PUBLIC_ROUTES else _ROUTES.get(route)


def roles_for(action: str) -> frozenset[str]:
    """Return the roles that may do this at all."""
    return frozenset(ACTIONS[action])


def covers(action: str, role: str, at: str, site: str) -> bool:
    """Say whether a role held at ``at`` may do this at ``site``."""
    scope = ACTIONS[action].get(role)
    return scope == EVERYWHERE or (scope is not None and at == site)


def listed_routes() -> frozenset[str]:
    """Return every ``METHOD pattern`` that the table names."""
    return _PUBLIC_ROUTES | frozenset(_ROUTES)
