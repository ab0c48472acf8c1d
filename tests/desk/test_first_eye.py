"""What an approval signed of the first eye stands on the order, in words and as data."""

from typing import Any

from webapp.desk.first_eye import first_eye

# Invented, as an approval signs it.
VAULT = {
    "found_um": 754, "predicted_um": 604, "scale_um": 107, "residual_um": 150, "days": 35,
    "moves": 1,
}  # fmt: skip
REFRACTION = {"found_cD": -50, "predicted_cD": 12, "error_cD": -62, "days": 36}


def shown(**changed: object) -> dict[str, Any]:
    """Return the parts of what was signed that tell of the first eye."""
    fellow = {
        "implant": "a" * 64, "records": ["b" * 64], "vault": VAULT, "refraction": None,
        "mean_before_um": 604,
    }  # fmt: skip
    return {"predicted": {"mean_um": 709}, "fellow": {**fellow, **changed}}


def test_moved() -> None:
    """Predicted, found, and from where to where; the data stand beside the words."""
    said = first_eye(shown())
    assert said is not None
    assert said["text"] == [
        "Vault predicted 604 µm, found 754 µm on day 35.",
        "It moved this eye’s vault from 604 to 709 µm.",
    ]
    assert (said["vault"], said["records"]) == (VAULT, ["b" * 64])


def test_not_moved() -> None:
    """A surprise moves nothing, and the order says so."""
    said = first_eye(shown(vault={**VAULT, "moves": 0}))
    assert said is not None
    assert said["text"][1] == "It did not move this eye’s prediction."


def test_refraction_alone() -> None:
    """Without a vault the refraction is told, and no vault is made up."""
    said = first_eye(shown(vault=None, refraction=REFRACTION))
    assert said is not None
    assert said["text"] == [
        "Mean refraction at the cornea predicted +0.12 D, found −0.50 D on day 36."
    ]


def test_nothing_signed() -> None:
    """An approval from before any surgery, or from before this was signed, tells nothing."""
    assert first_eye({"predicted": {"mean_um": 709}, "fellow": None}) is None
    assert first_eye({"predicted": {"mean_um": 709}}) is None
