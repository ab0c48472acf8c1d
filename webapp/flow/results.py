"""What came of the implanted lenses at the sites that somebody may look at, without names."""

from collections.abc import Iterator
from typing import Any, NamedTuple

from webapp.audit import results
from webapp.audit.centroid import Centroid
from webapp.audit.results import Acuity, Drift, Outcome, Vaults
from webapp.core import limits
from webapp.core.optics import Refraction, power_vector
from webapp.flow import folding, joined, kept_folds
from webapp.flow.actor import Actor
from webapp.flow.kept_folds import EYES, Fold
from webapp.store import installation
from webapp.store.projections import cases, implants

READ = "results.read"
VAULT_FROM_D = 7
"""A vault counts from a week on, as in the plan of a second eye (DEVELOPERS.md, decision 30)."""
SETTLED_FROM_D = 28
"""Refraction and acuity count from four weeks on (common practice)."""
LIGHT = "mesopic"

Reading = dict[str, Any]


class Results(NamedTuple):
    """Everything that the page of results shows."""

    lenses: int
    people: int
    vault_read: int
    """Of the lenses, those whose vault was read a week after surgery or later."""
    window_um: tuple[int, int, int, int]
    """A touch, the window's two ends, and very high."""
    vaults: Vaults
    drift: Drift | None
    astigmatism: tuple[int, Centroid | None]
    acuity: Acuity


def of(actor: Actor) -> Results:
    """Return the results at every site where this person may read them.

    Raises:
        Refused: they may read none.
    """
    actor.require(READ)
    sites = frozenset(site for site in installation.site_titles() if actor.may(READ, site))
    kept_folds.refresh_for_a_list(sites)
    homes = {joined.home_of(person) for person in implants.operated_people()}
    at = cases.sites_of(homes)
    mine = [person for person in sorted(homes) if at.get(person) in sites]
    folds = kept_folds.current_folds(mine)
    found = [one for person in mine for one in _outcomes(person, folds[person])]
    edges_um = _edges_um()
    return Results(
        len(found),
        len({one.person for one in found}),
        sum(one.vault_um is not None for one in found),
        edges_um,
        results.vaults(found, edges_um),
        results.drift(found, edges_um),
        results.astigmatism(found),
        results.acuity(found),
    )


def _edges_um() -> tuple[int, int, int, int]:
    adopted = folding.in_force()["limits"]
    now = limits.in_force(adopted["body"]["values"] if adopted else None)
    return (
        now["vault_low_um"], now["window_low_um"], now["window_high_um"], now["vault_high_um"],
    )  # fmt: skip


def _outcomes(person: str, fold: Fold) -> Iterator[Outcome]:
    """Yield each lens of a person, those that were taken out too."""
    for eye in EYES:
        this = fold["eyes"][eye]
        for surgery in this["surgeries"]:
            found = surgery["followups"]
            yield Outcome(
                person,
                eye,
                surgery["body"]["operated"],
                _newest(found, "followup.vault", VAULT_FROM_D, "vault_um", light=LIGHT),
                _astigmatism_d(found),
                _before(this["readings"]),
                _logmar(found, "best_corrected"),
                _logmar(found, "uncorrected"),
            )


def _newest(found: list[Reading], kind: str, from_d: int, field: str, **said: str) -> int | None:
    """Return the mean, as a whole number, of a field on the newest day that counts."""
    of_kind = [
        one
        for one in found
        if one["kind"] == kind
        and one["days"] >= from_d
        and all(one["body"][name] == value for name, value in said.items())
    ]
    if not of_kind:
        return None
    newest_d = max(one["days"] for one in of_kind)
    values: list[int] = [one["body"][field] for one in of_kind if one["days"] == newest_d]
    return round(sum(values) / len(values))


def _logmar(found: list[Reading], correction: str) -> float | None:
    value = _newest(found, "followup.acuity", SETTLED_FROM_D, "logmar_c", correction=correction)
    return None if value is None else value / 100


def _before(readings: list[Reading]) -> float | None:
    """Return the corrected acuity before surgery, as the plan had it."""
    values = [
        entry["body"]["logmar_c"]
        for row in readings
        if row["kind"] == "reading.acuity"
        for entry in row["entries"]
    ]
    return sum(values) / len(values) / 100 if values else None


def _astigmatism_d(found: list[Reading]) -> tuple[float, float] | None:
    """Return where the newest refraction at the glasses lies in the double-angle plot."""
    mine = [
        one
        for one in found
        if one["kind"] == "followup.refraction"
        and one["days"] >= SETTLED_FROM_D
        and one["body"]["plane"] == "spectacle"
    ]
    if not mine:
        return None
    body = max(mine, key=lambda one: (one["days"], one["wall"]))["body"]
    axis_deg = body["axis_deg"]
    vector = power_vector(
        Refraction(
            body["sphere_cD"] / 100, body["cylinder_cD"] / 100, 0 if axis_deg is None else axis_deg
        )
    )
    # Of a cylinder C at axis A: J0 is -C/2 cos 2A, so that twice it is |C| cos 2A in minus form.
    return 2 * vector.j0_d, 2 * vector.j45_d
