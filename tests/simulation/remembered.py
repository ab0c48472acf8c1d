"""What a process need not work out twice: pure functions of the server that remember their answers.

A history still opens, verifies and calculates whatever is new in it with the server's own code.
What is shared between histories is the answer to the very same bytes, and nobody changes it.
"""

import gc
import json
from collections.abc import Callable
from functools import lru_cache
from typing import Any

from webapp.core import door, exam, lens_power
from webapp.core.plan import lenses, measure_next, vault
from webapp.core.rules import every
from webapp.flow import calculation, opening, pull
from webapp.records.envelope import Record, open_envelope, to_base64url

ANSWERS = 4096
OF_NUMBERS = (
    (measure_next, "chance_after_repeat"), (measure_next, "chance_after_sulcus"),
    (measure_next, "chance_after_rise"),
    (lenses, "best_lenses"), (lenses, "recorded_refraction"), (lens_power, "sensitivity"),
    (vault, "option"), (vault, "curve"),
)  # fmt: skip
"""What a plan works out of plain numbers, by the module that asks: the same few each time."""

OF_LIMITS = ((exam, "in_force"), (every, "unusable"))
"""What is asked anew of the same adopted limits for each eye."""

COLLECT_EVERY = (50_000, 20, 100)
OBJECTS = 512
RECORDS = 2048
Answer = dict[str, Any]
_answered: Callable[[Answer], Answer] = calculation.answered
_verify: Callable[[bytes, bytes, bytes], None] = opening.verify
_answers: dict[tuple[Any, ...], Answer] = {}
_records: dict[tuple[Any, ...], Record] = {}
_own = {(module, name): getattr(module, name) for module, name in (*OF_NUMBERS, *OF_LIMITS)}


def begin() -> None:
    """Let the server of this process remember; called again, it changes nothing."""
    opening.open_envelope = opened  # type: ignore[assignment]
    opening.verify = _verified  # type: ignore[assignment]
    calculation.answered = answered
    calculation.payload_of = payload_of
    pull.to_base64url = lru_cache(maxsize=4 * RECORDS)(to_base64url)
    for module, name in OF_NUMBERS:
        setattr(module, name, _by_text(_own[module, name]))
    for module, name in OF_LIMITS:
        setattr(module, name, _by_identity(_own[module, name]))
    # What is remembered lives as long as the process and holds no circles to look for.
    gc.collect()
    gc.freeze()
    gc.set_threshold(*COLLECT_EVERY)


def _by_identity(function: Callable[[Any], Any]) -> Callable[[Any], Any]:
    """Return a function that is worked out once for each object, which nobody changes."""
    known: dict[int, tuple[Any, Any]] = {}

    def remembering(given: Any) -> Any:  # noqa: ANN401 - as the function has it
        found = known.get(id(given))
        # The object is kept with its answer, so no other one can come to have its name.
        if found is None or found[0] is not given:
            if len(known) >= OBJECTS:
                known.clear()
            found = known[id(given)] = (given, function(given))
        return found[1]

    return remembering


def _by_text(function: Callable[..., Any]) -> Callable[..., Any]:
    """Return a function of plain numbers that is worked out once for each text of them."""
    known: dict[str, Any] = {}

    def remembering(*given: object) -> Any:  # noqa: ANN401 - as the function has it
        # Not the numbers themselves: 0.0 and -0.0 are equal, and one answer may tell them apart.
        text = repr(given)
        if text not in known:
            known[text] = function(*given)
        return known[text]

    return remembering


def answered(request: Answer) -> Answer:
    """Return the core's answer; the very same question is not asked twice."""
    question = _question(request)
    answer = _answers.get(question)
    if answer is None:
        if len(_answers) >= ANSWERS:
            _answers.clear()
        answer = _answers[question] = _without_text(request)
    return answer


def _without_text(request: Answer) -> Answer:
    """Return the core's answer to what is JSON already, as JSON would hand it over."""
    try:
        answer: Answer = json.loads(json.dumps(door.answer(request)))
    except Exception:  # What the door says of an error, it shall say.
        return _answered(request)
    return answer


def _question(request: Answer) -> tuple[Any, ...]:
    """Return what tells one request from another: an id stands for its record's bytes."""
    entries = tuple(
        (one["id"], one["received"], one["state"]) for one in request.get("entries", ())
    )
    rest = {name: request[name] for name in request if name not in ("entries", "reference")}
    reference = request.get("reference", {})
    known = tuple((name, _text_of(reference[name])) for name in reference)
    return entries, json.dumps(rest), known


def _text_of(said: Any) -> tuple[str, str]:  # noqa: ANN401 - a part of the reference in force
    """Return a part of the reference as text; the long part of it is the body of a record."""
    if not isinstance(said, dict) or "body" not in said:
        return json.dumps(said), ""
    return json.dumps({**said, "body": None}), _body_text(said["body"])


_body_text = _by_identity(json.dumps)


@lru_cache(maxsize=RECORDS)
def payload_of(payload: bytes) -> Answer:
    """Return what a stored record says."""
    said: Answer = json.loads(payload)
    return said


@lru_cache(maxsize=RECORDS)
def _verified(spki: bytes, payload: bytes, signature: bytes) -> None:
    _verify(spki, payload, signature)


def opened(envelope: Any) -> Record:  # noqa: ANN401 - what a phone sends
    """Open an envelope as the server does; the same one again is not read twice."""
    name = (envelope["p"], envelope["kid"], envelope["sig"])
    record = _records.get(name)
    if record is None:
        if len(_records) >= RECORDS:
            _records.clear()
        record = _records[name] = open_envelope(envelope)
    return record
