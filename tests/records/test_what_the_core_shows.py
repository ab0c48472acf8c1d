"""What the calculation core shows and reads is what records may hold: two parts, one form."""

import json

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core import records as core_records
from tests.records.vectors import Case, read
from webapp.core import door
from webapp.records import envelope
from webapp.records.kinds import check_payload

PAYLOADS = read("kinds")["payloads"]

refractions = st.fixed_dictionaries(
    {"sphere_cD": st.integers(-80, 8), "cylinder_cD": st.integers(-20, 20)}
).map(lambda quarters: {name: 25 * value for name, value in quarters.items()})


@settings(max_examples=60, deadline=None)
@given(refractions, st.integers(1, 180), st.integers(285, 400), st.integers(1070, 1260))
def test_shown_may_be_recorded(refraction: Case, axis: int, depth: int, diameter: int) -> None:
    """Whatever lens the core shows for an eye, a request that binds it is a good record."""
    axis_deg = axis if refraction["cylinder_cD"] else None
    entries = core_records.whole_eye(
        refraction={**refraction, "axis_deg": axis_deg},
        chamber_depth={"depth_um": depth * 10},
        white_to_white={"diameter_um": diameter * 10},
    )
    for entry in entries:
        # The core's tests name a short key.
        check_payload({**entry["payload"], "key": "f" * 64})
    question = core_records.plan_request(entries)
    shown = json.loads(door.call(json.dumps(question)))["shown"]
    if shown is None:
        return
    body = {"shown": shown, "digest": envelope.digest_of(shown)}
    who = {"person": shown["person"], "eye": shown["eye"]}
    check_payload({**PAYLOADS["plan.request"], **who, "body": body})


def test_a_plain_eye_is_shown() -> None:
    """The eye that no rule objects to does get a lens, so the test above is about something."""
    entries = core_records.whole_eye()
    answer = json.loads(door.call(json.dumps(core_records.plan_request(entries))))
    assert answer["shown"]["lens"]["model"] in {"Model A-s", "Model A-t"}


def test_catalogue_of_the_core_may_be_recorded() -> None:
    """The catalogue that the core's tests use is a good record."""
    body = core_records.REFERENCE["catalogue"]["body"]
    check_payload({**PAYLOADS["catalogue.adopted"], "body": body})
