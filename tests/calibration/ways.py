"""The ways of choosing a lens length for the same eyes; all but the rule of thumb ask the core.

Each way asks the one door for a plan, as the app does, and takes the length that it recommends.
"""

import json
from random import Random
from typing import Any, NamedTuple

from tests.calibration import charts, truth
from tests.calibration.charts import LENGTHS_UM, SECOND, Person
from tests.core import records
from webapp.core import door
from webapp.core.adopted_models import body_of as recorded
from webapp.core.adopted_models import model_of
from webapp.core.lens_length import DEFAULT_LOSS_WEIGHTS, Window, choose, option
from webapp.core.vault import Fit, Model, Prediction, feature_values, predicted
from webapp.core.vault_priors import default_model, default_prior
from webapp.flow.vault_model_file import body_of

Entry = records.Entry
WINDOW_UM = (250, 750)
OWN_EYES = (10, 30, 100)
OUTCOME_DAYS = (7, 35)
MOST_FURTHER = 3
PRIOR = default_model("white_to_white", False)
PROMISED = ("mean_um", "scale_um", "dof", "low95_um", "high95_um", "p_in_e4")
SIZES = ("reading.white_to_white", "reading.sulcus_to_sulcus", "reading.lens_rise")


class Chosen(NamedTuple):
    """What one way chose for one eye, and what it said: a rule of thumb nothing but a length."""

    length_um: int
    said: dict[str, Any] | None
    """What the plan promises for this length."""
    cautions: list[tuple[str, str]]
    """Code and text of each caution of the plan."""
    wanted: list[str]
    """The readings about size that the plan asks for, the best first."""
    further: int = 0
    """How many readings were taken beyond one white-to-white."""


def ask(request: dict[str, Any]) -> dict[str, Any]:
    """Return the answer of the door. Raises: AssertionError when it refuses."""
    answer: dict[str, Any] = json.loads(door.call(json.dumps(request)))
    assert "error" not in answer, answer
    return answer


def planned(entries: list[Entry], model: dict[str, Any] | None = None, further: int = 0) -> Chosen:
    """Return the length that a plan of the second eye recommends, with a centre's model or none."""
    models = [] if model is None else [{"id": "e" * 64, "author": "u-verrill", "body": model}]
    reference = {**records.REFERENCE, "vault_models": models}
    plan = ask(records.plan_request(entries, SECOND, reference=reference))
    length_um = plan["recommended"]["length_um"]
    length = next(one for one in plan["lengths"] if one["length_um"] == length_um)
    # A run keeps thousands of these: curves and lenses stay behind.
    said = {name: length[name] for name in PROMISED}
    cautions = [(one["code"], one["text"]) for one in plan["findings"] if one["level"] == "caution"]
    wanted = [one["kind"] for one in plan["measure_next"]["lines"] if one["kind"] in SIZES]
    return Chosen(length_um, said, cautions, wanted, further)


def by_thumb(white_um: int, depth_um: int) -> Chosen:
    """Return the length by the rule of thumb: white-to-white and 0.5 mm, 1.0 in a deep chamber."""
    wanted_um = white_um + (500 if depth_um <= 3500 else 1000)
    return Chosen(min(LENGTHS_UM, key=lambda length_um: abs(length_um - wanted_um)), None, [], [])


def measuring_more(
    rng: Random, world: truth.World, there: truth.Centre, person: Person, entries: list[Entry]
) -> Chosen:
    """Return what is chosen when the optometrist takes each reading about size that the plan asks.

    The best line about the window each time, until none is left or three were taken.
    """
    chosen = planned(entries)
    for number in range(MOST_FURTHER):
        if not chosen.wanted:
            break
        reading = charts.further(rng, world, there, person, chosen.wanted[0], number)
        entries = [*entries, reading]
        chosen = planned(entries, further=number + 1)
    return chosen


def prediction_um(model: Model, length_um: int, white_um: int) -> Prediction:
    """Return what a model of white-to-whites predicts for a length."""
    fit = Fit(length_um / 1e3, white_um / 1e3, None, [])
    return predicted(model, feature_values(model.features, model.centre, fit))


def by_prior_alone(white_um: int) -> int:
    """Return the length that the default prior chooses, without the rest of a plan."""
    window = Window(*map(float, WINDOW_UM))
    choice = choose([
        option(length_um / 1e3, prediction_um(PRIOR, length_um, white_um), window,
               DEFAULT_LOSS_WEIGHTS)
        for length_um in LENGTHS_UM
    ])  # fmt: skip
    best_mm = choice.best_by_probability_mm if choice.is_separable else choice.best_by_loss_mm
    return round(1000 * float(best_mm))


def misses_um(
    there: truth.Centre, person: Person, model: Model, lengths_um: tuple[int, int]
) -> tuple[float, float]:
    """Return by how much a model misses the settled vaults of a person's two eyes."""
    eyes = (person.first, person.second)
    whites = (person.first_white_um, person.second_white_um)
    first, second = [
        truth.vault_um(there, eye, length_um) - prediction_um(model, length_um, white_um).mean_um
        for eye, white_um, length_um in zip(eyes, whites, lengths_um, strict=True)
    ]
    return first, second


def own_models(rng: Random, world: truth.World, there: truth.Centre) -> dict[int, dict[str, Any]]:
    """Return a centre's model after each number of own eyes, one eye of each person.

    Each eye's lens was chosen by the default prior, its vault read once, 7 to 35 days later.
    """
    seen = []
    for _ in range(max(OWN_EYES)):
        eye = truth.eyes(rng, world)[0]
        white_um = truth.white_um(rng, world, there, eye)
        length_um = by_prior_alone(white_um)
        settled_um = truth.vault_um(there, eye, length_um)
        found_um = truth.seen_vault_um(rng, settled_um, rng.randint(*OUTCOME_DAYS))
        seen.append({
            "length_mm": length_um / 1e3, "diameter_mm": white_um / 1e3, "vault_um": found_um,
        })  # fmt: skip
    return {count: fitted(seen[:count]) for count in OWN_EYES}


def fitted(observations: list[dict[str, Any]]) -> dict[str, Any]:
    """Return the body of the model that ``calc vault-model`` makes of a centre's own eyes."""
    prior = default_prior("white_to_white", False)
    asked = {
        "prior": {"mean": prior.mean, "sd": prior.sd, "sigma0_um": prior.sigma0_um,
                  "a0": prior.a0, "b0": prior.b0},
        "features": ["one", "excess_mm"], "centre": {"excess_mm": 0.98, "lens_rise_mm": 0.3},
        "observations": observations,
    }  # fmt: skip
    answer = ask({"do": "calc", "name": "vault-model", "input": asked})
    return body_of({
        "from_calc": answer, "title": "Drawn centre", "diameter_kind": "white_to_white",
        "device": None, "fitted_on": "drawn eyes",
    })  # fmt: skip


def both_misses(
    there: truth.Centre, person: Person, models: dict[int, dict[str, Any]]
) -> dict[str, tuple[float, float]]:
    """Return the misses of the default prior and of a centre's own model, by name."""
    lengths_um = by_prior_alone(person.first_white_um), by_prior_alone(person.second_white_um)
    asked = {"default prior": PRIOR} | {
        f"{count} own eyes": model_of(recorded(body)) for count, body in models.items()
    }
    return {
        name: misses_um(there, person, model, lengths_um) for name, model in asked.items()
    }  # fmt: skip


def all_ways(
    rng: Random, world: truth.World, there: truth.Centre, person: Person,
    models: dict[int, dict[str, Any]],
) -> dict[str, Chosen]:  # fmt: skip
    """Return what each way chooses for a person's second eye, by the name of the way."""
    first_um = by_prior_alone(person.first_white_um)
    days = rng.randint(*OUTCOME_DAYS)
    settled_um = truth.vault_um(there, person.first, first_um)
    fellow = charts.operated(person, first_um, truth.seen_vault_um(rng, settled_um, days), days)
    entries = [*person.entries, *person.paper]
    white_um, depth_um = person.second_white_um, person.second_depth_um
    chosen = {
        "a  rule of thumb, depth from the endothelium": by_thumb(white_um, depth_um),
        "a' rule of thumb, depth from the epithelium": by_thumb(
            white_um, depth_um + person.second_thickness_um
        ),
        "b  default prior, one white-to-white": planned(entries),
    }
    for count in OWN_EYES:
        chosen[f"c  after {count} own eyes"] = planned(entries, models[count])
    chosen["d  default prior and the first eye"] = planned([*entries, *fellow])
    chosen["d' 30 own eyes and the first eye"] = planned([*entries, *fellow], models[30])
    chosen["e  default prior, measuring what helps"] = measuring_more(
        rng, world, there, person, entries
    )
    return chosen
