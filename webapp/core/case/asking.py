"""Who asked that an exchange of the lens in an eye be weighed, and whether a surgeon has answered.

A decision about that lens answers what it names, whatever it decides; one taken back, or set aside
by a settlement, answers nothing any more. So what was asked while a surgeon decided without knowing
it asks again, in any order of arrival.
"""

from webapp.core.case.as_json import stamp
from webapp.core.case.decisions import Decisions
from webapp.core.case.implants import Implant
from webapp.core.case.state import State
from webapp.core.describe_surgery import asked_text
from webapp.core.entry import Entry

# What can cost the eye within days (common practice): it comes before what only waits (H37).
URGENT = ("high_vault", "low_vault", "angle", "pressure")
# What the state of an eye begins with while a surgeon has not answered what was asked.
SAID = "Asked to weigh an exchange: "


def asks(made: Decisions, lens: Implant) -> list[Entry]:
    """Return what was asked about a lens and stands, in the order in which it is shown."""
    return [one for one in made.asks if one.body["implant"] in lens.names]


def is_answered(made: Decisions, ask: Entry) -> bool:
    """Return whether a decision that counts names what was asked."""
    return any(
        # Absent from decisions that were made before anybody could ask.
        ask.id in (one.body.get("answers") or [])
        for one in made.exchanges
        if one.role == "surgeon" and one.id not in made.set_aside
    )


def open_asks(made: Decisions, lens: Implant) -> list[Entry]:
    """Return what was asked about a lens and no decision has answered."""
    return [one for one in asks(made, lens) if not is_answered(made, one)]


def asked_json(made: Decisions, lens: Implant) -> list[dict[str, object]]:
    """Return what was asked about a lens: who, when, why, and whether it is answered."""
    return [ask_json(made, one) for one in asks(made, lens)]


def ask_json(made: Decisions, ask: Entry) -> dict[str, object]:
    """Return one request to weigh an exchange."""
    answer = stamp(ask)
    answer["why"], answer["note"] = ask.body["why"], ask.body["note"]
    answer["text"] = asked_text(ask)
    answer["urgent"] = 1 if ask.body["why"] in URGENT else 0
    answer["answered"] = 1 if is_answered(made, ask) else 0
    return answer


def state_with_asks(made: Decisions, lens: Implant, now: State | None) -> State | None:
    """Return the state of an eye with a lens in it once what was asked is looked at.

    Args:
        made: the decisions on the eye.
        lens: the one in it.
        now: its state by what was decided about that lens, None for nothing.

    What was asked undoes nothing that stands; it is said first.
    """
    waiting = open_asks(made, lens)
    if not waiting:
        return now
    said = SAID + asked_text(waiting[-1]) + "."
    if now is None:
        return State("exchange_considered", said)
    return State(now.name, said + " Before: " + now.why)
