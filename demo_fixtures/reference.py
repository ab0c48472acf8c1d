"""The demo's lens catalogue and limits: the invented models and every default, adopted as such."""

from typing import Any

from webapp import starting_point

# Invented, in the range that GS1 keeps for demonstrations (952, from memory): no product has them.
GTINS = {"Model A-s": ["09524000000101"], "Model A-t": ["09524000000200"]}


def catalogue() -> dict[str, Any]:
    """Return the body of the demo catalogue, its product numbers invented as its models are."""
    whole = starting_point.catalogue()
    models = [{**model, "gtins": GTINS[model["model"]]} for model in whole["models"]]
    return {**whole, "title": "Tern Islands demo catalogue", "models": models}


def adopted_limits() -> dict[str, Any]:
    """Return the body of the demo limits: every default of the rules, adopted as it stands."""
    return {**starting_point.adopted_limits(), "title": "Tern Islands demo limits"}
