"""What a process need not work out twice: pure functions of the server that remember their answers.

A history still opens, verifies and calculates whatever is new in it with the server's own code.
What is shared between histories is the answer to the very same bytes, and nobody changes it.
"""

import json
from collections.abc import Callable
from functools import lru_cache
from typing import Any

from webapp.core import door
from webapp.core.plan import measure_next
from webapp.flow import calculation, opening
from webapp.records.envelope import Record, open_envelope

ANSWERS = 4096
ADVICE = {
    name: getattr(measure_next, name)
    for name in ("chance_after_repeat", "chance_after_sulcus", "chance_after_rise")
}
"""What a further reading would do: the same few numbers in every history."""

RECORDS = 2048
Answer = dict[str, Any]
_answered: Callable[[Answer], Answer] = calculation.answered
_verify: Callable[[bytes, bytes, bytes], None] = opening.verify
_answers: dict[tuple[Any, ...], Answer] = {}
_records: dict[tuple[Any, ...], Record] = {}


def begin() -> None:
    """Let the server of this process remember; called again, it changes nothing."""
    opening.open_envelope = opened  # type: ignore[assignment]
    opening.verify = _verified  # type: ignore[assignment]
    calculation.answered = answered
    calculation.payload_of = payload_of
    for name, function in ADVICE.items():
        setattr(measure_next, name, _by_text(function))


def _by_text(function: Callable[..., float]) -> Callable[..., float]:
    """Return a function of plain numbers that is worked out once for each text of them."""
    known: dict[str, float] = {}

    def remembering(*given: object) -> float:
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
    return entries, json.dumps({name: request[name] for name in request if name != "entries"})


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
