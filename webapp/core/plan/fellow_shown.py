"""The first eye's outcome as the plan shows it and an approval signs it, and in plain words."""

from webapp.core.dates import day_words
from webapp.core.exam import OTHER, Exam
from webapp.core.lens_words import lens_of, lens_text
from webapp.core.plan.fellow_outcome import (
    Outcome,
    PowerOutcome,
    VaultOutcome,
    records,
    residual_um,
    shift_of,
)
from webapp.core.plan.refraction_doubt import vault_sd
from webapp.core.units import to_step
from webapp.core.vault import Prediction, Shift, shifted
from webapp.core.wording import (
    EYE_WORDS,
    SD_EXPLAINED,
    count_of,
    dioptres,
    micrometres,
    size_in_dioptres,
)


def signed(found: Outcome | None, alone: Prediction | None) -> dict[str, object] | None:
    """Return what an approval signs of the first eye; None where nothing was found yet.

    Args:
        found: the first eye's outcome.
        alone: this eye's prediction for the lens shown, before it was moved.
    """
    used = records(found)
    if found is None or alone is None or not used:
        return None
    return {
        "implant": found.implant.entry.id,
        "records": used,
        "vault": None if found.vault is None else vault_json(found.vault),
        "refraction": None if found.power is None else power_json(found.power),
        "mean_before_um": to_step(alone.mean_um, 1.0),
    }


def vault_json(found: VaultOutcome) -> dict[str, object]:
    """Return the first eye's vault in whole numbers."""
    return {
        "found_um": found.found_um,
        "predicted_um": to_step(found.predicted.mean_um, 1.0),
        "scale_um": to_step(found.predicted.scale_um, 1.0),
        "residual_um": to_step(residual_um(found), 1.0),
        "days": found.days,
        "moves": 0 if found.why else 1,
    }


def power_json(found: PowerOutcome) -> dict[str, object]:
    """Return the first eye's mean refraction in whole numbers."""
    return {
        "found_cD": found.found_cD,
        "predicted_cD": found.predicted_cD,
        "error_cD": found.found_cD - found.predicted_cD,
        "days": found.days,
    }


def told(exam: Exam, found: Outcome | None, alone: Prediction | None) -> dict[str, object] | None:
    """Return the outcome for a screen: sentences, and how it moved this eye's vault.

    Args:
        exam: this eye.
        found: the first eye's outcome; None without surgery there.
        alone: this eye's prediction for the length shown, before it was moved; None without one.
    """
    if found is None:
        return None
    body = found.implant.entry.body
    eye, lens = EYE_WORDS[OTHER[exam.this.eye]], lens_text(lens_of(body["lens"]))
    lines = [eye + ", operated " + day_words(body["operated"]) + ": " + lens]
    if found.vault is not None:
        lines.append(vault_words(found.vault))
    if found.power is not None:
        lines.append(power_words(found.power))
    if len(lines) == 1:
        days = count_of(exam.limits["outcome_days"], "day", "days")
        lines.append("Nothing to compare yet: a vault in dim light or a refraction, taken "
                     + days + " after surgery or later, is still missing.")  # fmt: skip
    shift = shift_of(exam, found)
    change = None if alone is None or shift is None else change_json(alone, shift)
    return {
        "implant": found.implant.entry.id,
        "lines": lines,
        "change": change,
        "not_moved": "" if found.vault is None else found.vault.why,
    }


def change_json(alone: Prediction, shift: Shift) -> dict[str, object]:
    """Return this eye's vault before and after it was moved, and what became of its SD in words."""
    after = shifted(alone, shift)
    sd_from_um, sd_to_um = to_step(vault_sd(alone), 1.0), to_step(vault_sd(after), 1.0)
    return {
        "from_um": to_step(alone.mean_um, 1.0),
        "to_um": to_step(after.mean_um, 1.0),
        "sd_from_um": sd_from_um,
        "sd_to_um": sd_to_um,
        "text": "Its " + SD_EXPLAINED + " went from " + micrometres(sd_from_um) + " to "
        + micrometres(sd_to_um) + ": two eyes of one person miss in the same direction.",
    }  # fmt: skip


def vault_words(found: VaultOutcome) -> str:
    """Return the first eye's vault, predicted and found."""
    apart_um = to_step(residual_um(found), 1.0)
    word = (
        "as predicted"
        if apart_um == 0
        else micrometres(abs(apart_um)) + (" higher" if apart_um > 0 else " lower")
    )
    return (
        "Vault predicted " + micrometres(to_step(found.predicted.mean_um, 1.0)) + " (SD "
        + micrometres(to_step(vault_sd(found.predicted), 1.0)) + "), found "
        + micrometres(found.found_um) + " on day " + str(found.days) + ": " + word + "."
    )  # fmt: skip


def power_words(found: PowerOutcome) -> str:
    """Return the first eye's mean refraction, predicted and found."""
    error_cD = found.found_cD - found.predicted_cD
    word = (
        "as predicted"
        if error_cD == 0
        else size_in_dioptres(error_cD) + (" towards plus" if error_cD > 0 else " towards minus")
    )
    return (
        "Mean refraction at the cornea predicted " + dioptres(found.predicted_cD) + ", found "
        + dioptres(found.found_cD) + " on day " + str(found.days) + ": " + word + "."
    )  # fmt: skip
