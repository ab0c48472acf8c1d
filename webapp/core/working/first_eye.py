"""The working of the first eye's outcome: what it missed by, and how that moves this eye."""

from webapp.core.exam import Exam
from webapp.core.plan import vault as plan_vault
from webapp.core.plan.fellow_outcome import Outcome, residual_um, shift_of
from webapp.core.plan.refraction_doubt import vault_sd
from webapp.core.units import to_step
from webapp.core.vault import shifted
from webapp.core.wording import micrometres
from webapp.core.working.words import SQUARED, Step, decimal

SOURCE = (
    "Correlation of the two eyes' misses, derived: 1 \u2212 122.5" + SQUARED + " / (2 \u00b7 176.2"
    + SQUARED + ") = 0.758 from the difference between eyes (109 people, Clin Ophthalmol"
    " 2020;14:3563) and the residual of one eye (925 eyes, BMC Ophthalmol 2022;22:463), rounded"
    " down. Not checked on own eyes."
)  # fmt: skip


def steps(exam: Exam, found: Outcome | None, length_um: int) -> list[Step]:
    """Return the step in which the first eye moves the prediction; none where it does not."""
    shift, alone = shift_of(exam, found), plan_vault.alone(exam, length_um)
    if found is None or shift is None or alone is None:
        return []
    after = shifted(alone, shift)
    return [Step(
        "What the first eye taught",
        "e1 = found \u2212 predicted; mean + r e1; scale \u00b7 \u221a(1 \u2212 r" + SQUARED + ")",
        "e 1 is the vault found in the first eye less the vault predicted for it. The mean rises by"
        " r times e 1. The scale is multiplied by the root of one minus r squared.",
        [
            ("found in the first eye", micrometres(found.vault.found_um)),
            ("predicted for it", micrometres(to_step(found.vault.predicted.mean_um, 1.0))),
            ("e1", micrometres(to_step(residual_um(found.vault), 1.0))),
            ("r", decimal(shift.correlation, 2)),
            ("mean before", micrometres(to_step(alone.mean_um, 1.0))),
            ("scale before", micrometres(to_step(alone.scale_um, 1.0))),
        ],
        [
            ("mean vault", micrometres(to_step(after.mean_um, 1.0))),
            ("scale", micrometres(to_step(after.scale_um, 1.0))),
            ("SD", micrometres(to_step(vault_sd(after), 1.0))),
        ],
        SOURCE,
    )]  # fmt: skip
