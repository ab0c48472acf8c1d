"""What the first eye taught, as an approval signed it, in words for paper and page."""

from collections.abc import Mapping
from typing import Any

from webapp.desk.numbers import dioptres

Shown = Mapping[str, Any]


def first_eye(shown: Shown) -> dict[str, Any] | None:
    """Return what was signed of the first eye with its sentences; None where nothing was.

    Args:
        shown: what the approval signed; its vault is the one after the first eye moved it.
    """
    fellow = shown.get("fellow")
    if not fellow:
        return None
    return {**fellow, "text": [*_vault(fellow, shown["predicted"]), *_refraction(fellow)]}


def _vault(fellow: Shown, predicted: Shown) -> list[str]:
    vault = fellow["vault"]
    if vault is None:
        return []
    found = (
        f"Vault predicted {vault['predicted_um']} µm, found {vault['found_um']} µm on day "
        f"{vault['days']}."
    )
    if not vault["moves"]:
        return [found, "It did not move this eye’s prediction."]
    before_um, after_um = fellow["mean_before_um"], predicted["mean_um"]
    return [found, f"It moved this eye’s vault from {before_um} to {after_um} µm."]


def _refraction(fellow: Shown) -> list[str]:
    power = fellow["refraction"]
    if power is None:
        return []
    return [
        f"Mean refraction at the cornea predicted {dioptres(power['predicted_cD'])} D, found "
        f"{dioptres(power['found_cD'])} D on day {power['days']}."
    ]
