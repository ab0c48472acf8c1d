"""Random people with their eyes, plausible and absurd, and what is asked about them.

Each number gives one person, the same in every run of a seed: a difference can be found again.
"""

from random import Random
from typing import Any

from tests.core import decided, records
from tests.differential.bodies import body
from webapp.records.errors import BadRecord
from webapp.records.kinds import KINDS, check_body

Entry = records.Entry
Request = dict[str, Any]
READINGS = [name for name in KINDS if name.startswith("reading.")]
NEEDED = list(records.PLAIN_EYE)
TODAYS = (records.TODAY, "2026-12-31", "2027-06-01")
ANSWER = ("yes", "no", "not_asked")


def requests(seed: int, number: int) -> list[Request]:
    """Return what is asked about one person: the case file, the plan of an eye, its working."""
    rng = Random(f"{seed}/{number}")  # noqa: S311 - repeatable, no secret
    is_plausible = rng.random() < 0.6
    reference = drawn_reference(rng, is_plausible)
    entries = person(rng, is_plausible)
    has_left = any(one["payload"]["eye"] == "L" for one in entries)  # type: ignore[index]
    eye = "L" if has_left and rng.random() < 0.5 else "R"
    if is_plausible and rng.random() < 0.15:
        entries = with_decisions(rng, entries)
    rng.shuffle(entries)
    today = records.TODAY if is_plausible else rng.choice(TODAYS)
    asked = records.plan_request(entries, eye, reference=reference, today=today, **wishes(rng))
    fold = records.fold_request(entries, reference=reference, today=today)
    return [fold, asked, {**asked, "do": "working"}]


def person(rng: Random, is_plausible: bool) -> list[Entry]:
    """Return a registered person with answers and the readings of one eye or both."""
    year = rng.randint(1978, 2006) if is_plausible else rng.randint(1930, 2020)
    entries = [records.person(birth_date=f"{year}-0{rng.randint(1, 9)}-{rng.randint(10, 28)}")]
    odds = 0.05 if is_plausible else 0.5
    given = {
        name: rng.choice(ANSWER)
        for name in ("stable_12_months", "contact_lenses", "pregnant_or_nursing")
        if rng.random() < odds
    }
    if given.get("contact_lenses") == "yes":
        given |= {"contact_lens_type": "soft", "contact_lens_days_out": rng.randint(0, 60)}  # type: ignore[dict-item]
    entries.append(records.answers(**given))
    for eye in ("R", "L") if rng.random() < 0.3 else ("R",):
        entries += readings(rng, eye, is_plausible)
    if rng.random() < 0.1:
        entries.append(records.record("record.void", {"target": rng.choice(entries)["id"]},
                                      "R", reason="slip", seq=900))  # fmt: skip
    return entries


def readings(rng: Random, eye: str, is_plausible: bool) -> list[Entry]:
    """Return readings of one eye: those that a plan needs, a few others, some more than once."""
    entries: list[Entry] = []
    for kind in READINGS:
        chance = (0.99 if is_plausible else 0.95) if kind in NEEDED else 0.15
        while rng.random() < chance and len(entries) < 60:
            made = reading(rng, kind, eye, is_plausible, len(entries))
            entries += [made] if made is not None else []
            chance = 0.25 if kind in NEEDED else 0.1
    return entries


def reading(rng: Random, kind: str, eye: str, is_plausible: bool, place: int) -> Entry | None:
    """Return one reading, or None where the table of kinds would refuse it."""
    drawn = body(rng, kind, is_plausible)
    entry = records.record(kind, drawn, eye, seq=place + 1)
    try:
        check_body(kind, drawn, entry["payload"])  # type: ignore[arg-type]
    except BadRecord:
        return None
    return entry


def with_decisions(rng: Random, entries: list[Entry]) -> list[Entry]:
    """Return the person's records with what was decided on the right eye, if a plan allows it."""
    if not decided.ask(records.plan_request(entries)).get("shown"):
        return entries
    sent = decided.sent(entries)
    approval = decided.approval(entries, sent)
    more = [sent, approval, decided.question(sent), decided.ordered(approval)]
    return entries + more[: rng.randint(1, len(more))]


def wishes(rng: Random) -> Request:
    """Return what a surgeon may have chosen: a lens, a target, a change of the cornea."""
    asked: Request = {}
    if rng.random() < 0.3:
        cylinder = rng.choice((0, -50, -125, -200))
        asked["choice"] = {
            "model": rng.choice(("Model A-t", "Model A-s", "Model B")),
            "sphere_cD": rng.randrange(-1800, 300, 25), "cylinder_cD": cylinder,
            "axis_deg": rng.randint(1, 180) if cylinder or rng.random() < 0.1 else None,
            "length_um": rng.choice(records.MODEL_T["lengths_um"]),  # type: ignore[arg-type]
        }  # fmt: skip
    if rng.random() < 0.2:
        asked["target"] = {"sphere_cD": rng.randint(-700, 350), "cylinder_cD": 0, "axis_deg": None}
    if rng.random() < 0.1:
        asked["surgical_change"] = {
            "flattening_cD": rng.randint(0, 210), "meridian_deg": rng.randint(1, 180),
        }  # fmt: skip
    return asked


def drawn_reference(rng: Random, is_plausible: bool) -> Request:
    """Return a catalogue and limits: the tests' own, or with other lengths, steps and limits."""
    if rng.random() < (0.7 if is_plausible else 0.4):
        return dict(records.REFERENCE)
    models = [
        {**model, "offset_um": rng.choice((0, 0, 70)), "lengths_um": drawn_lengths(rng)}
        for model in (records.MODEL_T, records.MODEL_S)
    ]
    values: Request = {}
    if rng.random() < 0.5:
        low_um = rng.randrange(100, 500, 10)
        values = {"window_low_um": low_um, "window_high_um": low_um + rng.randrange(100, 800, 10)}
    limits = {"id": "b" * 64, "body": {"title": "Drawn", "values": values}}
    return {
        "catalogue": {"id": "a" * 64, "body": {"title": "Drawn", "demo": 1, "models": models}},
        "limits": limits if rng.random() < 0.9 else None,
        "vault_models": [
            {"id": f"{place:064x}", "author": "u-verrill", "body": drawn_model(rng)}
            for place in range(1, rng.randint(1, 4))
        ],
        "withdrawn_vault_models": [
            {"id": f"{place:064x}", "author": "u-hale", "reason": "Drawn.", "record": "e" * 64,
             "body": drawn_model(rng)}
            for place in range(10, rng.randint(10, 12))
        ],
    }  # fmt: skip


def drawn_model(rng: Random) -> Request:
    """Return a vault model of a centre with a few to many eyes, for any device."""
    size = rng.choice((2, 3))
    spread = [rng.randint(1, 900_000_000) for _ in range(size)]
    triangle = [
        spread[row] if row == column else rng.randint(-9, 9) * min(spread) // 30
        for row in range(size)
        for column in range(row, size)
    ]
    n_eyes = rng.randint(0, 300)
    return {
        "title": "Drawn", "diameter_kind": rng.choice(("white_to_white", "sulcus_to_sulcus")),
        "device": None, "features": ["one", "excess_mm", "lens_rise_mm"][:size],
        "centre_excess_um": rng.randint(0, 1200), "centre_lens_rise_um": 300 if size == 3 else None,
        "mean_um_e3": [rng.randint(200_000, 800_000) for _ in range(2)] + [-400_000] * (size - 2),
        "V_e9": triangle, "a_e3": 4000 + 500 * n_eyes,
        "b_um2_e3": 91_875_000 + n_eyes * rng.randint(1_000_000, 20_000_000),
        "n_eyes": n_eyes, "fitted_on": "Drawn eyes",
    }  # fmt: skip


def drawn_lengths(rng: Random) -> list[int]:
    """Return one to seven lengths in even steps [um]."""
    first_um, step_um = rng.randrange(11000, 12600, 50), rng.choice((250, 300, 500))
    return [first_um + step_um * place for place in range(rng.randint(1, 7))]
