"""E3: turning the lens in the eye, to its best axis or towards the vertical, and when not to.

A lens placed vertically lay 110 um lower in the mean (Sci Rep 2024 52913-8, abstract read).
"""

from collections import namedtuple

from webapp.core.aims import target_vector
from webapp.core.entry import Entry
from webapp.core.exchange_plan.lens_in import apart_deg, axis_readings, lies_at, power_as_it_lies
from webapp.core.exchange_plan.work import Work, before_vector, is_high, is_low
from webapp.core.lens_power import Eye, lens_for
from webapp.core.optics import PowerVector, astigmatism, axis_of, blur, subtracted, turned
from webapp.core.plan.lenses import predicted_json
from webapp.core.rotation import Turn, best_turn, refraction_through, vergence_behind
from webapp.core.units import to_step
from webapp.core.used import whole_axis
from webapp.core.wording import fixed, micrometres, size_in_dioptres

# possible: 1 or 0; text: what it would do, or why it is none; good, bad: what speaks for and
# against it; turn: as ``turn_json``, or None.
Alternative = namedtuple(
    "Alternative", ("code", "title", "possible", "text", "good", "bad", "turn")
)
VERTICAL, TO_AXIS = "Turn it towards the vertical", "Turn it to its axis"
VERTICAL_UM = -110


def to_vertical(work: Work) -> Alternative:
    """Return whether turning the lens towards the vertical is one: for less vault, no cylinder."""
    if not is_high(work):
        text = "It lowers the vault, which is not too high here."
        return Alternative("turn", VERTICAL, 0, text, [], [], None)
    turn = None if lies_at(work.lens)[0] is None else quarter_turn(work)
    refusal = "" if lies_at(work.lens)[0] is None else carried(work, turn)
    if refusal:
        return Alternative("turn", VERTICAL, 0, refusal, [], [], None)
    expected_um = work.found.vault_um + VERTICAL_UM
    is_inside = expected_um <= work.natural.limits["window_high_um"]
    ends = "which lies in the window" if is_inside else "still above the window"
    return Alternative(
        "turn", VERTICAL, 1, "About " + micrometres(expected_um) + " afterwards, " + ends + ".",
        ["No other lens is needed."],
        ["110 \u00b5m less is the mean of one study; one eye may get more or less.",
         "A lens that lies high because it is too long stays too long."],
        None if turn is None else turn_json(work, turn),
    )  # fmt: skip


def quarter_turn(work: Work) -> Turn | None:
    """Return a turn by 90 degrees; None where what it would leave cannot be reckoned."""
    if work.old is None:
        return None
    lens = power_as_it_lies(work.lens)
    after = refraction_through(
        work.old, vergence_behind(work.old, work.worn, lens), turned(lens, 90.0)
    )
    return Turn(90.0, axis_of(turned(lens, 90.0)), after, gain_of(work, after))


def carried(work: Work, turn: Turn | None) -> str:
    """Return why a toric lens must not be turned by 90 degrees, an empty text where it may."""
    if turn is None:
        return (
            "Its axis carries a cylinder, and what a turn would leave cannot be reckoned without"
            " the refraction found with it."
        )
    left_cD = to_step(200.0 * astigmatism(turn.refraction), 1.0)
    if left_cD < work.natural.limits["turn_cylinder_cD"]:
        return ""
    return (
        "Its axis carries the cylinder: turned by 90 degrees it would leave "
        + size_in_dioptres(left_cD) + " of cylinder."
    )  # fmt: skip


def to_axis(work: Work, decisions: list[Entry]) -> Alternative:
    """E3: return whether turning a toric lens to its best axis is worth an operation.

    Args:
        work: what the exchange is reckoned from.
        decisions: what was decided about this lens before, whether it still stands or not.
    """
    if lies_at(work.lens)[0] is None:
        text = "A lens without a cylinder has no axis."
        return Alternative("rerotate", TO_AXIS, 0, text, [], [], None)
    if work.old is None:
        text = "Without a refraction found with this lens no turn can be reckoned."
        return Alternative("rerotate", TO_AXIS, 0, text, [], [], None)
    target = target_vector(work.natural.aims)
    turn = best_turn(work.old, work.worn, power_as_it_lies(work.lens), target)
    refusal = (
        contradicted(work)
        or aligned(work, turn)
        or little(work, turn)
        or recurrent(work, decisions)
    )
    if refusal:
        return Alternative("rerotate", TO_AXIS, 0, refusal, [], [], turn_json(work, turn))
    bad = ["It may turn again."]
    if is_low(work):
        bad.append("The vault is low: a lens too short for the eye turns again.")
    if is_high(work):
        bad.append("The vault stays as it is.")
    gain_cD = to_step(turn.gain_d * 100.0, 1.0)
    good = ["It saves " + size_in_dioptres(gain_cD) + " of blur."]
    return Alternative(
        "rerotate", TO_AXIS, 1, turn_text(turn), good, bad, turn_json(work, turn)
    )  # fmt: skip


def contradicted(work: Work) -> str:
    """Return that the marks were seen where the refraction does not put them; else nothing."""
    lies_deg, source = lies_at(work.lens)
    implied_deg = implied_axis(work)
    most_deg = work.natural.limits["after_turn_deg"]
    if source != "seen" or apart_deg(lies_deg or 180, implied_deg) <= most_deg:
        return ""
    return (
        "The lens was seen at " + str(lies_deg) + ", but what it leaves would need it at "
        + str(implied_deg) + ": refraction, label or a sign is the likelier fault."
    )  # fmt: skip


def aligned(work: Work, turn: Turn) -> str:
    """Return that the lens lies near enough to its best axis; else nothing."""
    least_deg: int = work.natural.limits["after_turn_deg"]
    if off_deg(work, turn) >= least_deg:
        return ""
    return "It lies within " + str(least_deg) + " degrees of its best axis."


def little(work: Work, turn: Turn) -> str:
    """Return that a turn would gain too little; else nothing."""
    limits = work.natural.limits
    gain_cD = to_step(turn.gain_d * 100.0, 1.0)
    over = subtracted(work.worn, target_vector(work.natural.aims))
    cylinder_cD = to_step(200.0 * astigmatism(over), 1.0)
    enough = cylinder_cD >= limits["turn_cylinder_cD"] or gain_cD >= limits["turn_gain_cD"]
    if enough and gain_cD >= limits["turn_least_gain_cD"]:
        return ""
    return (
        "Little would be gained: " + size_in_dioptres(max(gain_cD, 0)) + " of blur, with "
        + size_in_dioptres(cylinder_cD) + " of cylinder now."
    )  # fmt: skip


def recurrent(work: Work, decisions: list[Entry]) -> str:
    """Return that a lens with a low vault has turned again; else nothing."""
    if not is_low(work) or not has_turned_before(work, decisions):
        return ""
    return (
        "It turned before, and the vault is low: the lens is too short for this eye and would turn"
        " again. Another length, not another turn."
    )


def has_turned_before(work: Work, decisions: list[Entry]) -> bool:
    """Return whether a lens was turned to its axis once, or seen off it, back, and off again."""
    if any(one.body["decision"] == "rerotate" for one in decisions):
        return True
    meant_deg = work.lens.entry.body["lens"]["axis_deg"]
    least_deg = work.natural.limits["after_turn_deg"]
    off = [
        apart_deg(one.body["seen_axis_deg"], meant_deg) >= least_deg
        for one in axis_readings(work.lens)
    ]
    turns = [index for index in range(len(off)) if off[index] and not (index and off[index - 1])]
    return len(turns) > 1


def implied_axis(work: Work) -> int:
    """Return where the lens would have to lie to leave the refraction that was found [deg]."""
    old = work.old
    eye = Eye(before_vector(work), old.vertex_mm, old.cornea, old.cornea_change, old.position_mm)
    return whole_axis(axis_of(lens_for(eye, work.worn)))


def off_deg(work: Work, turn: Turn) -> int:
    """Return how far the lens lies from its best axis, or was seen from the one it was made for."""
    implied = to_step(abs(turn.turn_deg), 1.0)
    meant_deg = work.lens.entry.body["lens"]["axis_deg"]
    seen = [one.body["seen_axis_deg"] for one in axis_readings(work.lens)]
    return max(implied, apart_deg(seen[-1], meant_deg) if seen else 0)


def gain_of(work: Work, after: PowerVector) -> float:
    """Return the blur strength [D] that a turn would save."""
    target = target_vector(work.natural.aims)
    return float(blur(subtracted(work.worn, target)) - blur(subtracted(after, target)))


def turn_text(turn: Turn) -> str:
    """Return a turn in words, with the meridian where its axis would lie."""
    way = "counter-clockwise" if turn.turn_deg > 0.0 else "clockwise"
    return (
        "Turn it by " + fixed(to_step(abs(turn.turn_deg) * 10.0, 1.0), 10, 1) + " degrees " + way
        + ", facing the patient, so that its axis lies at " + str(whole_axis(turn.axis_deg)) + "."
    )  # fmt: skip


def turn_json(work: Work, turn: Turn) -> dict[str, object]:
    """Return a turn as it crosses the door."""
    return {
        "turn_deg_e1": to_step(turn.turn_deg * 10.0, 1.0),
        "to_axis_deg": whole_axis(turn.axis_deg),
        "predicted": predicted_json(turn.refraction),
        "gain_cD": to_step(turn.gain_d * 100.0, 1.0),
        "cylinder_cD": to_step(200.0 * astigmatism(work.worn), 1.0),
    }
