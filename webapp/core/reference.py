"""The reference records in force: the catalogue, limits and vault models adopted last."""

from collections import namedtuple

from webapp.core import adopted_models, trust
from webapp.core.box.products import Product, listed, products_of
from webapp.core.entry import Entry, entries_of
from webapp.core.errors import BadInput

# models: list of Model. A None id means that nothing has been adopted yet.
# vault_models: list of adopted_models.Adopted, newest first. withdrawn: list of Withdrawn.
# revoked_keys: list of trust.RevokedKey. recalled_cores: list of trust.RecalledCore.
# products: the product numbers of each catalogue, also of those that are no longer in force.
Reference = namedtuple(
    "Reference",
    (
        "catalogue_id", "models", "limits_id", "limits", "vault_models", "withdrawn",
        "revoked_keys", "recalled_cores", "products",
    ),
)  # fmt: skip
# The same names twice: a type checker needs them written out, and the browser's Python cannot ask
# a named tuple for its fields.
MODEL_FIELDS = (
    "model", "toric", "sphere_min_cD", "sphere_max_cD", "sphere_step_cD", "cylinder_min_cD",
    "cylinder_max_cD", "cylinder_step_cD", "axis_step_deg", "lengths_um", "optic_um",
    "offset_um", "labelled_power",
)  # fmt: skip
Model = namedtuple("Model", (
    "model", "toric", "sphere_min_cD", "sphere_max_cD", "sphere_step_cD", "cylinder_min_cD",
    "cylinder_max_cD", "cylinder_step_cD", "axis_step_deg", "lengths_um", "optic_um",
    "offset_um", "labelled_power",
))  # fmt: skip


def newest(entries: list[Entry], kind: str) -> Entry | None:
    """Return the adoption in force: the highest number that the server gave, then the highest id.

    An adoption that has no number yet is in force nowhere but on the machine that made it, so it
    comes after every numbered one.
    """
    best: Entry | None = None
    for entry in entries:
        if entry.kind == kind and (best is None or rank(entry) > rank(best)):
            best = entry
    return best


def rank(entry: Entry) -> tuple[int, str]:
    """Return what adoptions are ordered by."""
    return (-1 if entry.received is None else entry.received, entry.id)


def in_force(raw: object) -> dict[str, object]:
    """Return the catalogue, limits and vault models in force, as they cross the door."""
    entries = entries_of(raw)
    answer: dict[str, object] = {}
    for name, kind in (("catalogue", "catalogue.adopted"), ("limits", "limits.adopted")):
        found = newest(entries, kind)
        answer[name] = None if found is None else {"id": found.id, "body": found.body}
    vault = [entry for entry in entries if entry.kind == adopted_models.KIND]
    withdrawn = adopted_models.withdrawals(entries)
    answer["vault_models"] = adopted_models.in_force(
        sorted(vault, key=rank, reverse=True), [str(one["id"]) for one in withdrawn]
    )
    answer["withdrawn_vault_models"] = withdrawn
    answer["revoked_keys"] = trust.revoked_of(entries)
    answer["recalled_cores"] = trust.recalled_of(entries)
    numbered = {
        entry.id: listed(entry.body["models"])
        for entry in entries
        if entry.kind == "catalogue.adopted"
    }
    answer["products"] = {name: numbered[name] for name in numbered if numbered[name]}
    return answer


def reference_of(value: object) -> Reference:
    """Return the reference records of a request. Raises: BadInput when their shape is wrong."""
    if not isinstance(value, dict):
        raise BadInput("reference", "reference must hold catalogue and limits, each may be null")
    catalogue, limits = value.get("catalogue"), value.get("limits")
    models = [model_of(item) for item in catalogue["body"]["models"]] if catalogue else []
    return Reference(
        catalogue["id"] if catalogue else None,
        models,
        limits["id"] if limits else None,
        limits["body"]["values"] if limits else None,
        [adopted_models.adopted_of(one) for one in value.get("vault_models") or []],
        [adopted_models.withdrawn_of(one) for one in value.get("withdrawn_vault_models") or []],
        trust.keys_at_door(value.get("revoked_keys")),
        trust.cores_at_door(value.get("recalled_cores")),
        numbers_of(value.get("products")),
    )


def numbers_of(value: object) -> dict[str, list[Product]]:
    """Return the product numbers of each catalogue. Raises: BadInput when their shape is wrong."""
    if value is None:
        return {}
    if not isinstance(value, dict):
        raise BadInput("reference", "products must hold the numbers of each catalogue by its id")
    return {name: products_of(value[name]) for name in value}


def model_of(item: dict[str, object]) -> Model:
    """Return one lens model. Raises: BadInput when a part is missing."""
    absent = [name for name in MODEL_FIELDS if name not in item]
    if absent:
        raise BadInput("reference", "a lens model lacks " + ", ".join(absent))
    return Model(*[item[name] for name in MODEL_FIELDS])
