"""Vault models that a surgeon adopted: one for each kind of diameter and device, newest first.

A record holds whole numbers; the scale stands in each name. A model is used only for the kind of
diameter and the device that it names, and only where the eye has everything that it needs.
"""

from collections import namedtuple

from webapp.core import linear
from webapp.core.entry import Entry
from webapp.core.errors import BadInput
from webapp.core.vault import Centre, Model

KIND = "vault_model.adopted"
WITHDRAWN = "vault_model.withdrawn"

# Fewer eyes of its own than this have not shifted a centre's model enough to say so.
FEWEST_EYES = 10

PLAIN_FEATURES = ["one", "excess_mm"]
RISE_FEATURES = ["one", "excess_mm", "lens_rise_mm"]

# model: as ``vault.Model``; device: as adopted, None for any of that kind.
Adopted = namedtuple(
    "Adopted", ("id", "author", "title", "diameter_kind", "device", "n_eyes", "fitted_on", "model")
)
# adopted: what was withdrawn; author: who withdrew it; record: the withdrawal's id.
Withdrawn = namedtuple("Withdrawn", ("adopted", "author", "reason", "record"))
# What a record holds; twice, as in ``reference``, for the type checker.
BODY_FIELDS = (
    "title", "diameter_kind", "device", "features", "centre_excess_um", "centre_lens_rise_um",
    "mean_um_e3", "V_e9", "a_e3", "b_um2_e3", "n_eyes", "fitted_on",
)  # fmt: skip
Body = namedtuple("Body", (
    "title", "diameter_kind", "device", "features", "centre_excess_um", "centre_lens_rise_um",
    "mean_um_e3", "V_e9", "a_e3", "b_um2_e3", "n_eyes", "fitted_on",
))  # fmt: skip


def body_of(value: object) -> Body:
    """Return the body of a record by its names. Raises: BadInput when one is missing."""
    if not isinstance(value, dict):
        raise BadInput("vault_models", "a vault model must be an object")
    absent = [name for name in BODY_FIELDS if name not in value]
    if absent:
        raise BadInput("vault_models", "a vault model lacks " + ", ".join(absent))
    return Body(*[value[name] for name in BODY_FIELDS])


def model_of(body: Body) -> Model:
    """Return the model that a record's whole numbers mean. Raises: BadInput when they fit none."""
    features = body.features
    if features not in (PLAIN_FEATURES, RISE_FEATURES):
        raise BadInput("features", "features must be one, excess_mm and, if used, lens_rise_mm")
    size = len(features)
    mean, V = body.mean_um_e3, body.V_e9
    if len(mean) != size or len(V) != size * (size + 1) // 2:
        raise BadInput("V_e9", "mean_um_e3 needs one number, V_e9 one row, for each feature")
    rise_um = body.centre_lens_rise_um
    if size == 3 and rise_um is None:
        raise BadInput("centre_lens_rise_um", "the model uses the lens rise: say its centre")
    whole = square(V, size)
    try:
        linear.cholesky(whole)
    except ArithmeticError:
        raise BadInput("V_e9", "V must be positive definite, not singular") from None
    return Model(
        list(features),
        Centre(body.centre_excess_um / 1e3, None if rise_um is None else rise_um / 1e3),
        [one / 1e3 for one in mean],
        whole,
        body.a_e3 / 1e3,
        body.b_um2_e3 / 1e3,
    )


def square(V_e9: list[int], size: int) -> list[list[float]]:
    """Return the symmetric matrix whose upper triangle is written row by row."""
    whole = [[0.0] * size for _ in range(size)]
    place = 0
    for row in range(size):
        for column in range(row, size):
            whole[row][column] = whole[column][row] = V_e9[place] / 1e9
            place += 1
    return whole


def adopted_of(item: dict[str, object]) -> Adopted:
    """Return one adopted model as a request's reference gives it. Raises: BadInput."""
    body = body_of(item["body"])
    return Adopted(
        item["id"], item["author"], body.title, body.diameter_kind, body.device, body.n_eyes,
        body.fitted_on, model_of(body),
    )  # fmt: skip


def one_way(device: str | None) -> str | None:
    """Return a device's name written one way: case and spaces do not make a new device."""
    return None if device is None else " ".join(device.lower().split())


def in_force(newest_first: list[Entry], withdrawn: list[str]) -> list[dict[str, object]]:
    """Return the newest adoption for each kind, device and need of a lens rise, newest first.

    One that was withdrawn speaks for nothing, and the one before it does not come back: it was
    replaced for a reason. A surgeon may adopt it again.
    """
    seen, found = [], []
    for entry in newest_first:
        body = body_of(entry.body)
        about = (body.diameter_kind, one_way(body.device), body.features)
        if about not in seen:
            seen.append(about)
            if entry.id not in withdrawn:
                found.append({"id": entry.id, "author": entry.author, "body": entry.body})
    return found


def withdrawals(entries: list[Entry]) -> list[dict[str, object]]:
    """Return the withdrawn adoptions, by id, each with who withdrew it first and why.

    A withdrawal names its adoption; one that no adoption here answers to waits for it.
    """
    adopted = {one.id: one for one in entries if one.kind == KIND}
    seen, found = [], []
    for one in sorted([one for one in entries if one.kind == WITHDRAWN], key=lambda one: one.id):
        named = one.body.get("adoption")
        if one.role == "surgeon" and named in adopted and named not in seen:
            seen.append(named)
            found.append({
                "id": named, "author": one.author, "reason": one.reason, "record": one.id,
                "body": adopted[named].body,
            })  # fmt: skip
    return sorted(found, key=lambda one: str(one["id"]))


def withdrawn_of(item: dict[str, object]) -> Withdrawn:
    """Return one withdrawal as a request's reference gives it. Raises: BadInput."""
    adopted = adopted_of(item)
    return Withdrawn(adopted, item["author"], str(item["reason"] or ""), item["record"])


def chosen(models: list[Adopted], kind: str, device: str | None, has_rise: bool) -> Adopted | None:
    """Return the newest model for a kind of diameter and a device, None where there is none.

    Args:
        models: newest first.
        kind: of the diameter in use.
        device: that it was measured with; None: not known, so only a model of any device will do.
        has_rise: whether the eye's lens rise can be used.
    """
    for one in models:
        is_mine = one.device is None or one_way(one.device) == one_way(device)
        needs_rise = "lens_rise_mm" in one.model.features
        if one.diameter_kind == kind and is_mine and (has_rise or not needs_rise):
            return one
    return None


def text(adopted: Adopted, kind_word: str) -> str:
    """Return which model speaks, on how many eyes it stands, and for what it was fitted."""
    count = str(adopted.n_eyes) + " own eye" + ("" if adopted.n_eyes == 1 else "s")
    if adopted.n_eyes >= FEWEST_EYES:
        stands = ", centre-adjusted on " + count
    else:
        stands = ", " + count + ", too few to call it centre-adjusted"
    by = ", any device" if adopted.device is None else " by " + adopted.device
    return str(adopted.title) + stands + "; " + kind_word + by
