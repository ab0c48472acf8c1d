"""The one door of the core: JSON text in, JSON text out, and never an exception."""

import json

from webapp.core import adopted_models, reference
from webapp.core.box import compare
from webapp.core.box import theatre as theatre_box
from webapp.core.box.products import products_of
from webapp.core.calc import calculations
from webapp.core.case import casefile, theatre_question
from webapp.core.dates import day_number
from webapp.core.entry import Entry, entries_of
from webapp.core.errors import BadInput
from webapp.core.exchange_plan.answer import exchange as answer_exchange
from webapp.core.lens_words import lens_of
from webapp.core.plan import plan
from webapp.core.units import to_step
from webapp.core.working import steps as working

VERSION = 1


def call(text: str) -> str:
    """Return the answer to one request.

    A request that cannot be answered gets ``{"error": {"field", "message"}}``: a sentence about the
    field to put right, or with no field where the fault lies in here.
    """
    try:
        request = json.loads(text)
        return json.dumps(answer(request))
    except BadInput as problem:
        return refusal(problem.field, problem.message)
    except Exception as fault:
        # A fault here must not stop the page: it says so, and nothing is planned.
        return refusal(None, "this could not be calculated (" + repr(fault) + ")")


def refusal(field: str | None, message: str) -> str:
    """Return the answer that says what cannot be used."""
    return json.dumps({"error": {"field": field, "message": message}})


def answer(request: object) -> object:
    """Return what a request asks for. Raises: BadInput."""
    if not isinstance(request, dict) or request.get("do") not in DOORS:
        raise BadInput("do", "do must be one of " + ", ".join(sorted(DOORS)))
    return DOORS[request["do"]](request)


def part(request: dict[str, object], name: str) -> object:
    """Return one part of a request. Raises: BadInput when it is not there."""
    if name not in request:
        raise BadInput(name, "the request lacks " + name)
    return request[name]


def text_of(request: dict[str, object], name: str) -> str:
    """Return a part that must be text. Raises: BadInput."""
    value = part(request, name)
    if not isinstance(value, str):
        raise BadInput(name, name + " must be text")
    return value


def today_of(request: dict[str, object]) -> str:
    """Return the date of the request. Raises: BadInput when it is no date."""
    today = text_of(request, "today")
    day_number(today)
    return today


def version(request: dict[str, object]) -> object:
    """Return the version of this door."""
    return {"version": VERSION}


def calc(request: dict[str, object]) -> object:
    """Return a single calculation by name."""
    return calculations.answer(text_of(request, "name"), part(request, "input"))


def adopted(request: dict[str, object]) -> object:
    """Return the reference records in force."""
    return reference.in_force(part(request, "entries"))


def vault_model(request: dict[str, object]) -> object:
    """Return that the body of a vault model can be used. Raises: BadInput."""
    adopted_models.model_of(adopted_models.body_of(part(request, "body")))
    return {"usable": 1}


def folded(request: dict[str, object]) -> object:
    """Return the case file of a person."""
    entries = entries_of(part(request, "entries"))
    known = reference.reference_of(part(request, "reference"))
    return casefile.fold(entries, known, today_of(request))


def planned(request: dict[str, object]) -> object:
    """Return the plan of one eye."""
    return plan.plan(*about_an_eye(request), text_of(request, "core"), *wishes(request))


def exchanged(request: dict[str, object]) -> object:
    """Return what can be done about the lens in one eye; takes what ``plan`` takes."""
    return answer_exchange(*about_an_eye(request), text_of(request, "core"), *wishes(request))


def shown_working(request: dict[str, object]) -> object:
    """Return the working of a plan; takes what ``plan`` takes."""
    return working.working(*about_an_eye(request), *wishes(request))


def about_an_eye(request: dict[str, object]) -> tuple[list[Entry], reference.Reference, str, str]:
    """Return records, reference, eye and day of a request about one eye. Raises: BadInput."""
    return (
        entries_of(part(request, "entries")),
        reference.reference_of(part(request, "reference")),
        text_of(request, "eye"),
        today_of(request),
    )


def wishes(request: dict[str, object]) -> tuple[object, object, object]:
    """Return lens, target and planned surgical change of a request; each may be None."""
    return (request.get("choice"), request.get("target"), request.get("surgical_change"))


def box(request: dict[str, object]) -> object:
    """Return a lens box beside the ordered lens; null where something was not read yet."""
    found = compare.box_of(request, part(request, "days"))
    known = products_of(request.get("products"))
    return compare.compared(lens_of(part(request, "lens")), found, known)


def theatre(request: dict[str, object]) -> object:
    """Return what theatre asks of one eye: may it begin, is this the box, how will the lens lie."""
    return theatre_question.question(
        entries_of(part(request, "entries")),
        reference.reference_of(part(request, "reference")),
        text_of(request, "eye"),
        today_of(request),
        request,
    )


def theatre_checked(request: dict[str, object]) -> object:
    """Return a recorded check in theatre beside the order and the released label alone."""
    label, read = part(request, "label"), part(request, "read")
    if not isinstance(label, dict) or not isinstance(read, dict):
        raise BadInput("label", "label and read must be what their records hold")
    return theatre_box.compared(
        lens_of(part(request, "lens")),
        theatre_box.released_of(text_of(request, "eye"), label),
        theatre_box.seen_of(read, part(request, "days")),
        products_of(request.get("products")),
    )


def sampled(request: dict[str, object]) -> object:
    """Return chosen values of another answer, for self-tests that know a published figure.

    ``of`` is the other request, ``take`` a list of ``[path, step]``: a path of names and positions,
    and the step to which a number is rounded, or null to take the value as it is.
    """
    whole, wanted = answer(part(request, "of")), part(request, "take")
    if not isinstance(wanted, list):
        raise BadInput("take", "take must be a list of [path, step]")
    values = []
    for path, step in wanted:
        value: object = whole
        for name in path:
            value = part_of(value, name)
        values.append(to_step(as_number(value), step) if step is not None else value)
    return {"values": values}


def as_number(value: object) -> float:
    """Return a part of an answer as a number. Raises: BadInput."""
    if isinstance(value, (int, float)):
        return float(value)
    raise BadInput("take", "only a number can be rounded")


def part_of(value: object, name: object) -> object:
    """Return one part of an answer by its name or its position. Raises: BadInput."""
    if isinstance(value, dict) and name in value:
        return value[name]
    if isinstance(value, list) and isinstance(name, int) and 0 <= name < len(value):
        return value[name]
    raise BadInput("take", "the answer has no part named " + str(name))


DOORS = {
    "version": version,
    "calc": calc,
    "reference": adopted,
    "fold": folded,
    "plan": planned,
    "exchange": exchanged,
    "working": shown_working,
    "sample": sampled,
    "vault_model": vault_model,
    "box": box,
    "theatre": theatre,
    "theatre_box": theatre_checked,
}
