"""What is asked about the lens in an eye: the eye waits for a surgeon until a decision names it."""

import itertools
import json
from typing import Any

import pytest

from tests.core import decided, exchanges, records, surgeries
from tests.core.decided import DESK, SURGEON, THIRD_SURGEON, ask
from tests.core.exchanges import before, implanted, operated, question
from tests.core.records import Entry
from tests.core.second_cycle import exchanged, eye_of, removed
from tests.core_runtime import Core
from webapp.records.kinds import KINDS

ASKED = [code for code, _ in KINDS["exchange.asked"].fields["why"]["choices"]]
NOTE = "She sees rings at night."


def asked_for(lens: Entry, eye: str = "R", who: dict[str, Any] | None = None, **body: Any) -> Entry:  # noqa: ANN401
    """Return a request by the optometrist to weigh an exchange."""
    header = {"wall": "2026-11-25T08:00:00.000Z", "seq": 30, **(who or {})}
    said = {"implant": lens["id"], "why": "high_vault", "note": None, **body}
    return records.record("exchange.asked", said, eye, **header)


def decision(
    entries: list[Entry], what: str = "observe", answers: list[Entry] | None = None, **more: Any  # noqa: ANN401
) -> Entry:  # fmt: skip
    """Return a decision on these records that answers some requests."""
    named = {"answers": sorted(str(one["id"]) for one in answers)} if answers else {}
    return exchanges.decided(ask(question(entries)), what, **{**named, **more})


def waiting(eye: dict[str, Any]) -> list[int]:
    """Return for each request whether it is answered."""
    return [one["answered"] for one in eye["exchange"]["asked"]]


@pytest.fixture
def eye() -> list[Entry]:
    """Return the worked eye, its surgery at place -4."""
    return operated()


class TestAsked:
    """Before anything was decided."""

    def test_the_eye_waits_for_a_surgeon(self, eye: list[Entry]) -> None:
        """With who asked, and why, in words."""
        asked = asked_for(eye[-4], note=NOTE)
        found = eye_of([*eye, asked])
        assert found["state"] == "exchange_considered"
        assert found["state_why"] == (
            f"Asked to weigh an exchange: vault too high, \u201c{NOTE}\u201d."
        )
        (told,) = found["exchange"]["asked"]
        assert (told["id"], told["author"], told["answered"]) == (asked["id"], "u-ambler", 0)
        assert (told["why"], told["note"]) == ("high_vault", NOTE)

    @pytest.mark.parametrize("why", ASKED)
    def test_what_should_not_wait(self, eye: list[Entry], why: str) -> None:
        """Vault, angle and pressure can cost the eye within days (common practice)."""
        (told,) = eye_of([*eye, asked_for(eye[-4], why=why, note="see note")])["exchange"]["asked"]
        assert told["urgent"] == (why in {"high_vault", "low_vault", "angle", "pressure"})

    def test_by_the_desk(self, eye: list[Entry]) -> None:
        """The desk hears of it by telephone."""
        found = eye_of([*eye, asked_for(eye[-4], who=DESK, why="patient")])
        assert found["state"] == "exchange_considered"

    def test_stands_in_the_timeline(self, eye: list[Entry]) -> None:
        """In one line."""
        texts = [one["text"] for one in eye_of([*eye, asked_for(eye[-4])])["timeline"]]
        assert "Asked to weigh an exchange: vault too high" in texts

    def test_of_the_other_eye(self, eye: list[Entry]) -> None:
        """It says nothing about this one."""
        found = eye_of([*eye, asked_for(eye[-4], eye="L")])
        assert (found["state"], waiting(found)) == ("followed", [])

    def test_of_a_lens_that_is_out(self, eye: list[Entry]) -> None:
        """Nobody weighs what lies in no eye."""
        gone = removed(eye[-4], "2026-11-26")
        found = eye_of([*eye, asked_for(eye[-4]), gone])
        assert found["exchange"] is None
        assert found["state"] not in ("exchange_considered", "followed")

    def test_of_the_lens_before(self, eye: list[Entry]) -> None:
        """The one that took its place is of another cycle."""
        found = eye_of([*eye, asked_for(eye[-4]), exchanged(eye[-4])])
        assert (found["state"], waiting(found)) == ("implanted", [])

    def test_stays_with_a_corrected_surgery(self, eye: list[Entry]) -> None:
        """The corrected record is of the same lens."""
        corrected = implanted(replaces=eye[-4]["id"], reason="the label", seq=50)
        for named in (eye[-4], corrected):
            assert waiting(eye_of([*eye, asked_for(named), corrected])) == [0]

    def test_of_two_that_wait_the_newest_is_said(self, eye: list[Entry]) -> None:
        """The surgeon reads the other one below it."""
        first = asked_for(eye[-4], note="First.")
        second = asked_for(eye[-4], note="Second.", who={"wall": "2026-11-26T08:00:00.000Z"})
        assert "Second." in eye_of([*eye, second, first])["state_why"]

    def test_withdrawn(self, eye: list[Entry]) -> None:
        """By its author, with a reason."""
        asked = asked_for(eye[-4])
        void = records.record("record.void", {"target": asked["id"]}, "R", reason="wrong eye")
        found = eye_of([*eye, asked, void])
        assert (found["state"], waiting(found)) == ("followed", [])

    def test_not_withdrawn_by_somebody_else(self, eye: list[Entry]) -> None:
        """Another one's word does not end it."""
        asked = asked_for(eye[-4])
        void = records.record(
            "record.void", {"target": asked["id"]}, "R", reason="no", **{**DESK, "seq": 9}
        )
        assert waiting(eye_of([*eye, asked, void])) == [0]


class TestAnswered:
    """By a decision that names it."""

    def test_whatever_was_decided(self, eye: list[Entry]) -> None:
        """Watching answers as an exchange does."""
        asked = asked_for(eye[-4])
        for what, state in (("observe", "exchange_considered"), ("exchange", "approved")):
            made = decision([*eye, asked], what, [asked])
            found = eye_of([*eye, asked, made])
            assert (found["state"], waiting(found)) == (state, [1]), what
        assert found["exchange"]["decisions"][0]["live"] == 1

    def test_what_it_does_not_name_asks_again(self, eye: list[Entry]) -> None:
        """Somebody asked while the surgeon decided without knowing it."""
        made = decision(eye)
        found = eye_of([*eye, made, asked_for(eye[-4])])
        assert waiting(found) == [0]
        assert found["state_why"] == (
            "Asked to weigh an exchange: vault too high. Before: Watch the lens."
        )

    def test_an_exchange_stands_all_the_same(self, eye: list[Entry]) -> None:
        """It waits, and what was decided is not undone by a question."""
        made = decision(eye, "exchange")
        found = eye_of([*eye, made, asked_for(eye[-4])])
        assert (found["state"], waiting(found)) == ("approved", [0])
        assert found["state_why"].startswith("Asked to weigh an exchange: vault too high. Before: ")

    def test_one_that_fell_says_it_first(self, eye: list[Entry]) -> None:
        """Asked since, after a later visit: who reads of the eye reads that somebody waits."""
        made = decision(eye, "exchange")
        later = surgeries.found("pressure", eye[-4], "R", "2026-11-30T08:00:00.000Z")
        found = eye_of([*eye, made, later, asked_for(eye[-4], why="pressure")])
        assert (found["state"], waiting(found)) == ("stale", [0])
        assert found["state_why"].startswith("Asked to weigh an exchange: pressure")

    def test_one_that_fell_has_answered(self, eye: list[Entry]) -> None:
        """A later visit does not ask for an exchange by itself."""
        asked = asked_for(eye[-4])
        made = decision([*eye, asked], "observe", [asked])
        later = surgeries.found("pressure", eye[-4], "R", "2026-11-30T08:00:00.000Z")
        found = eye_of([*eye, asked, made, later])
        assert found["exchange"]["decisions"][0]["live"] == 0
        assert (found["state"], waiting(found)) == ("followed", [1])

    def test_taken_back_it_answers_nothing(self, eye: list[Entry]) -> None:
        """So whoever asked waits again."""
        asked = asked_for(eye[-4])
        made = decision([*eye, asked], "observe", [asked])
        back = records.record(
            "plan.withdrawal", {"target": made["id"]}, "R", reason="too early",
            **{**SURGEON, "seq": 41},
        )  # fmt: skip
        found = eye_of([*eye, asked, made, back])
        assert (found["state"], waiting(found)) == ("exchange_considered", [0])
        assert found["state_why"].startswith("Asked to weigh an exchange")

    def test_set_aside_it_answers_nothing(self, eye: list[Entry]) -> None:
        """A settlement that keeps none leaves the question open."""
        asked = asked_for(eye[-4])
        one = decision([*eye, asked], "observe", [asked])
        other = decision([*eye, asked], "exchange", [asked], who=decided.OTHER_SURGEON)
        body = {"decisions": sorted([str(one["id"]), str(other["id"])]), "kept": None}
        settled = records.record(
            "decision.settled", body, "R", reason="measure again", **{**THIRD_SURGEON, "seq": 9}
        )
        assert waiting(eye_of([*eye, asked, one, other])) == [1]
        assert waiting(eye_of([*eye, asked, one, other, settled])) == [0]

    def test_only_a_surgeon_answers(self, eye: list[Entry]) -> None:
        """A decision by anybody else counts for nothing."""
        asked = asked_for(eye[-4])
        who = {**SURGEON, "role": "optometrist"}
        made = decision([*eye, asked], "observe", [asked], who=who)
        assert waiting(eye_of([*eye, asked, made])) == [0]


def test_any_order_of_arrival(eye: list[Entry]) -> None:
    """The same eye, whichever record came first (I5)."""
    asked = asked_for(eye[-4])
    again = asked_for(eye[-4], who={"seq": 31}, why="angle")
    made = decision([*eye, asked], "observe", [asked])
    arrivals = itertools.permutations([asked, again, made])
    folds = [eye_of([*eye, *one]) for one in arrivals]
    assert all(one == folds[0] for one in folds)
    assert waiting(folds[0]) == [1, 0]


def test_both_pythons_agree(core: Core, eye: list[Entry]) -> None:
    """On phone and server (I23)."""
    asked = asked_for(eye[-4], note=NOTE)
    made = decision([*eye, asked], "observe", [asked])
    for entries in ([*eye, asked], [*eye, asked, made], [*before(), eye[-4], asked]):
        request = records.fold_request(
            entries, reference=exchanges.reference(), today=exchanges.TODAY
        )
        answer = json.loads(core("door", "call", json.dumps(request))["value"])
        assert answer["eyes"]["R"] == eye_of(entries)
