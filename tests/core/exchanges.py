"""Builds the worked eye of an exchange: its lens lies too high, and every figure of it is known.

Invented. Computed from the stated formulas and confirmed by an independent matrix route in numpy
and by scipy (``tests/vectors/exchange.json``): a vault of 560 um was to be expected, SD 176, and
1300 was found; 550 um of vault for each mm of length, SD 160; 0.85 of the miss stays.
"""

from typing import Any

from tests.answered import about_lens
from tests.core import records, surgeries
from tests.core.decided import SURGEON
from tests.core.records import Entry

LENGTHS_UM = [11850, 12100, 12350, 12600, 13100]
LENS: dict[str, Any] = {
    "model": "Model A-t", "sphere_cD": -1150, "cylinder_cD": -150, "axis_deg": 175,
    "length_um": 13100,
}  # fmt: skip
# 13.10 mm lies 1.48 mm over this eye's 11.62: the model's centre, where only its mean speaks.
VAULT_MODEL: dict[str, Any] = {
    "title": "Worked centre", "diameter_kind": "white_to_white", "device": None,
    "features": ["one", "excess_mm"], "centre_excess_um": 1480, "centre_lens_rise_um": None,
    "mean_um_e3": [560000, 550000],
    # SD of the slope 160 beside an error of 176: its V is (160 / 176) squared.
    "V_e9": [1, 0, 826446281],
    "a_e3": 11000, "b_um2_e3": 309760000, "n_eyes": 14, "fitted_on": "invented",
}  # fmt: skip
BEFORE: dict[str, dict[str, object]] = {
    "refraction": {"sphere_cD": -1100, "cylinder_cD": -150, "axis_deg": 175},
    "keratometry": {"flat_cD": 4300, "steep_cD": 4400, "steep_meridian_deg": 90},
    "chamber_depth": {"depth_um": 3100},
    "corneal_thickness": {"thickness_um": 530},
}
FOUND: dict[str, object] = {"sphere_cD": 50, "cylinder_cD": -25, "axis_deg": 90}
OPERATED, TODAY = surgeries.OPERATED, "2026-12-01"


def reference(**more: object) -> dict[str, Any]:
    """Return catalogue, limits and the worked vault model."""
    models = [
        {**one, "lengths_um": LENGTHS_UM} for one in (records.MODEL_T, records.MODEL_S)
    ]  # fmt: skip
    catalogue = {"id": "a" * 64, "body": {"title": "Demo", "demo": 1, "models": models}}
    model = {"id": "e" * 64, "author": "u-verrill", "body": VAULT_MODEL}
    return {**records.REFERENCE, "catalogue": catalogue, "vault_models": [model], **more}


def before(eye: str = "R", **instead: dict[str, object] | None) -> list[Entry]:
    """Return the person and the eye as it was measured before surgery."""
    return [
        records.person(),
        records.answers(),
        *surgeries.first_eye(eye, **{**BEFORE, **instead}),
    ]


def implanted(eye: str = "R", **given: Any) -> Entry:  # noqa: ANN401
    """Return the surgery of the worked lens."""
    return surgeries.implanted(eye, given.pop("lens", LENS), **given)


def seen(surgery: Entry, eye: str = "R", vault_um: int = 1300, **refraction: object) -> list[Entry]:
    """Return vault, refraction and count found with the lens in the eye."""
    return [
        surgeries.found("vault", surgery, eye, vault_um=vault_um),
        surgeries.found("refraction", surgery, eye, **{**FOUND, **refraction}),
        surgeries.found("endothelial_count", surgery, eye),
    ]


def operated() -> list[Entry]:
    """Return the worked eye with its lens and what was found with it; the surgery at place -4."""
    surgery = implanted()
    return [*before(), surgery, *seen(surgery)]


def question(entries: list[Entry], eye: str = "R", **more: object) -> dict[str, object]:
    """Return the question what can be done about the lens in an eye."""
    asked = {
        "do": "exchange", "entries": entries, "reference": reference(), "eye": eye, "today": TODAY,
        "core": records.CORE, "choice": None,
    }  # fmt: skip
    return {**asked, **more}


def decided(
    answer: dict[str, Any], decision: str = "exchange", who: dict[str, Any] = SURGEON,
    **changed: object,
) -> Entry:  # fmt: skip
    """Return a decision about what was shown, every finding answered; parts changed by name."""
    shown = answer["shown" if decision == "exchange" else "shown_without"]
    header = {**who, "wall": "2026-12-01T07:00:00.000Z", "seq": 40}
    body = about_lens(shown, records.DIGEST, decision, header["wall"])
    return records.record("exchange.decided", {**body, **changed}, shown["eye"], **header)
