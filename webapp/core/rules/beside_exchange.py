"""E4: what there is beside an exchange, where a vault lies outside the window.

The vault that another length would give, and its power, are the calculations
``vault-after-exchange``, ``naked-refraction`` and ``lens-power``.
"""

from webapp.core.case.implants import Implant
from webapp.core.entry import Entry
from webapp.core.finding import Finding, note

FIRST_LOOK = (
    "Before any of them measure the vault again, and compare lens and orientation with the label."
)
# Both from abstracts: indices of efficacy and safety above 1 after five years; a lens placed
# vertically, Sci Rep 2024 52913-8.
WATCH = "watching it (80 eyes of 160 to 249 or 760 to 1230 \u00b5m saw well for five years)"
TURN = "turning the lens towards the vertical, about 110 \u00b5m less vault in the mean"
CORNEA = "correcting at the cornea what is left of the refraction"
OUT = "taking the lens out"
NOT_TORIC = " Turning it towards the vertical is no option: its axis carries the cylinder."


def options(implant: Implant, reading: Entry, is_high: bool) -> Finding:
    """Return the note that lists them; turning is one where less vault is wanted, and no cylinder.

    Args:
        implant: the lens in the eye.
        reading: of the vault.
        is_high: whether the vault is above the window; else it is below.
    """
    is_toric = implant.entry.body["lens"]["cylinder_cD"] != 0
    said = [WATCH] + ([TURN] if is_high and not is_toric else []) + [CORNEA, OUT]
    return note(
        "E4.beside", "after_surgery", "Beside an exchange",
        "A number alone is no reason to operate. What the surgeon weighs beside another length: "
        + "; ".join(said) + "." + (NOT_TORIC if is_high and is_toric else ""),
        FIRST_LOOK, [reading.id],
    )  # fmt: skip
