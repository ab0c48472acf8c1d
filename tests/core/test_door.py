"""The door: text in, text out, the same in both Pythons, and never an exception."""

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core import records
from tests.core_runtime import Core, in_cpython
from webapp.core import door

SELFTEST = json.loads((Path(door.__file__).parent / "selftest.json").read_text("utf-8"))

# Where the expected figures of the self-test come from, in its order.
SOURCES = (
    "the door's own number",
    "power vectors, Thibos, Wheeler, Horner 1997 (from memory); by hand: M = S + C/2, J0 = -C/2",
    "as above: -10.00 -2.50 x 20",
    "vertex tables at 12 mm: -4.00 reads -3.82 at the cornea (handbook, from memory)",
    "as above: -20.00 reads -16.13",
    "as above: +10.00 reads +11.36",
    "van der Heijde 1988, Holladay 1993 (from memory), worked out by an independent matrix route",
    "as above, +5 D",
    "toric lens, independent matrix route in numpy",
    "as above, with a planned corneal change",
    "forward prediction, independent matrix route in numpy",
    "exponential loss of endothelial cells, worked out",
    "log-linear trend of five counts, worked out with a t table",
    "default prior for four lengths, independent route in scipy",
    "the toric example again, at the vault of 500 um, through a whole plan",
    "rules D03 and D11 for 2.71 mm and 7.80 tagged D",
    "states of an eye with all readings and of one with none",
    "a request without its records",
)


def ask(core: Core, request: object) -> Any:  # noqa: ANN401
    """Return the parsed answer to one request."""
    return json.loads(core("door", "call", json.dumps(request))["value"])


class TestSelftest:
    """What a phone checks before it may calculate."""

    def test_each_has_a_source(self) -> None:
        """Every expected value says where it comes from."""
        assert len(SOURCES) == len(SELFTEST)

    @pytest.mark.parametrize("number", range(len(SELFTEST)))
    def test_answer_is_exactly_the_expected_one(self, core: Core, number: int) -> None:
        """Both Pythons give the figure, to the last recorded digit."""
        assert ask(core, SELFTEST[number]["call"]) == SELFTEST[number]["expect"], SOURCES[number]

    def test_a_changed_calculation_is_noticed(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """A wrong index of the aqueous, as a planted fault, fails several vectors."""
        monkeypatch.setattr("webapp.core.lens_power.AQUEOUS_INDEX", 1.3375)
        failed = [one for one in SELFTEST if ask(in_cpython, one["call"]) != one["expect"]]
        assert len(failed) >= 3


class TestRefusals:
    """Requests that cannot be answered."""

    @pytest.mark.parametrize(
        ("request_", "field"),
        [
            ({}, "do"),
            ([], "do"),
            ({"do": "guess"}, "do"),
            ({"do": "calc", "name": "power-vector"}, "input"),
            ({"do": "calc", "name": "horoscope", "input": {}}, "name"),
            ({"do": "fold", "entries": [], "reference": {}, "today": "25.11.2026"}, "date"),
            ({"do": "fold", "entries": {}, "reference": {}, "today": "2026-11-25"}, "entries"),
            (records.plan_request([], eye="B"), "eye"),
            (records.plan_request([{"id": "x"}]), "entries"),
            (records.plan_request([], choice={"model": "Model A-t"}), "choice"),
            (records.plan_request([], reference=None), "reference"),
        ],
    )
    def test_named_field(self, core: Core, request_: object, field: str) -> None:
        """The answer names the field and says in words what to put right."""
        error = ask(core, request_)["error"]
        assert error["field"] == field
        assert len(error["message"]) > 10

    def test_two_people_are_never_mixed(self, core: Core) -> None:
        """Records of two people in one request are refused."""
        stranger = records.record("history.answers", records.ANSWERS, person="someone else")
        asked = records.plan_request([*records.whole_eye(), stranger])
        assert ask(core, asked)["error"]["field"] == "entries"

    @settings(max_examples=60, deadline=None)
    @given(st.text(max_size=40))
    def test_any_text(self, text: str) -> None:
        """Text that is no request gets an error, not an exception."""
        assert set(json.loads(door.call(text))) == {"error"}

    @settings(max_examples=60, deadline=None)
    @given(st.data())
    def test_any_damage_to_a_record(self, data: st.DataObject) -> None:
        """A record with a part missing or of another type gives an answer or an error."""
        entries = records.whole_eye()
        payload = dict(data.draw(st.sampled_from(entries))["payload"])  # type: ignore[call-overload]
        part = data.draw(st.sampled_from(sorted(payload)))
        payload[part] = data.draw(st.none() | st.integers() | st.text(max_size=3) | st.just({}))
        damaged = {"id": "0" * 64, "payload": payload, "received": None, "state": "ok"}
        for asked in (
            records.plan_request([*entries, damaged]),
            records.fold_request([*entries, damaged]),
        ):
            assert isinstance(json.loads(door.call(json.dumps(asked))), dict)


class TestReference:
    """The adopted catalogue and limits."""

    def test_highest_number_of_the_server_is_in_force(self, core: Core) -> None:
        """Neither the order of arrival nor the clock of the adopter decides."""
        early = adoption("limits.adopted", 3, "2026-01-01T00:00:00.000Z")
        late = adoption("limits.adopted", 7, "2025-01-01T00:00:00.000Z")
        unsent = adoption("limits.adopted", None, "2026-11-01T00:00:00.000Z")
        for entries in ([early, late, unsent], [unsent, late, early]):
            found = ask(core, {"do": "reference", "entries": entries})
            assert found["limits"]["id"] == late["id"]
            assert found["catalogue"] is None


def adoption(kind: str, received: int | None, wall: str) -> records.Entry:
    """Return one adoption by the administrator."""
    body = {"title": "Limits", "values": {}}
    made = records.record(kind, body, person=None, role="administrator", site="all", wall=wall)
    return {**made, "received": received}
