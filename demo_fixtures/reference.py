"""The demo's lens catalogue and limits: the invented models and every default, adopted as such."""

from typing import Any

from webapp import starting_point


def catalogue() -> dict[str, Any]:
    """Return the body of the demo catalogue."""
    return {**starting_point.catalogue(), "title": "Tern Islands demo catalogue"}


def adopted_limits() -> dict[str, Any]:
    """Return the body of the demo limits: every default of the rules, adopted as it stands."""
    return {**starting_point.adopted_limits(), "title": "Tern Islands demo limits"}
