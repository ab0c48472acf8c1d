"""Which model a product number (GTIN) is of, by the lists of one catalogue.

The catalogue is the one that the order's approval names: with the one in force, a check that is
computed again could come out otherwise. A catalogue may hold no list; then nothing is said.
"""

from collections import namedtuple

from webapp.core.box.verdict import AGREES, DIFFERS, Verdict
from webapp.core.errors import BadInput

# model: its name on the label; gtins: its product numbers, 14 digits each.
Product = namedtuple("Product", ("model", "gtins"))


def listed(models: list[dict[str, object]]) -> list[dict[str, object]]:
    """Return model and product numbers of the models of a catalogue that have a list."""
    return [
        {"model": one["model"], "gtins": one["gtins"]}
        for one in models
        if one.get("gtins") is not None
    ]


def products_of(value: object) -> list[Product]:
    """Return the lists of a catalogue, none for null. Raises: BadInput, field ``products``."""
    if value is None:
        return []
    if not isinstance(value, list):
        raise BadInput("products", "products must be a list of models with their numbers")
    found = []
    for one in value:
        if not isinstance(one, dict) or "model" not in one or "gtins" not in one:
            raise BadInput("products", "each of products needs model and gtins")
        found.append(Product(one["model"], one["gtins"]))
    return found


def product_verdict(gtin: str | None, model: str, products: list[Product]) -> Verdict | None:
    """Return what a product number says of a box; None where there is nothing to say.

    A number of another model stops. One that stands under no model is only said: a list may be
    older than a maker's newest number, and the printed model is compared in any case.

    Args:
        gtin: of the code of the box; None where it has none.
        model: that was ordered.
        products: the lists of the catalogue that the order was approved by.
    """
    if gtin is None or not products:
        return None
    for one in products:
        if gtin in one.gtins:
            if one.model == model:
                return Verdict(AGREES, "", "The catalogue lists it under " + model + ".")
            return Verdict(
                DIFFERS, "other_model",
                "The catalogue lists this number under " + one.model + ", another model.",
            )  # fmt: skip
    return Verdict(
        AGREES, "unknown_number",
        "The catalogue lists this number under no model; the printed model was compared.",
    )  # fmt: skip
