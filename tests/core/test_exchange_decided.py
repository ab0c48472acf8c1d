"""A surgeon's decision about the lens in an eye, and two that contradict each other."""

import json

import pytest

from tests.core import exchanges, records
from tests.core.decided import OTHER_SURGEON, SURGEON, THIRD_SURGEON
from tests.core.exchanges import operated
from tests.core.records import Entry
from tests.core.second_cycle import asked, decision, eye_of
from tests.core_runtime import Core


class TestDecided:
    """A surgeon's decision about the lens in the eye."""

    def test_an_exchange_is_approved(self) -> None:
        """The decision is what an order may be placed from."""
        entries = operated()
        made = decision(entries)
        eye = eye_of([*entries, made])
        assert eye["state"] == "approved"
        assert (eye["approval"]["id"], eye["approval"]["kind"]) == (made["id"], "exchange.decided")
        assert (eye["approval"]["live"], eye["approval"]["stale"]) == (1, [])
        assert [one["id"] for one in eye["exchange"]["decisions"]] == [made["id"]]

    @pytest.mark.parametrize("what", ["observe", "turn", "rerotate", "corneal", "remove"])
    def test_anything_else_is_considered(self, what: str) -> None:
        """It orders nothing."""
        entries = operated()
        eye = eye_of([*entries, decision(entries, what)])
        assert eye["state"] == "exchange_considered"

    def test_any_order_of_arrival_and_twice(self) -> None:
        """The fold is the same (I5, I6)."""
        entries = operated()
        whole = [*entries, decision(entries)]
        assert eye_of([*whole[::-1], *whole]) == eye_of(whole)

    def test_both_pythons_agree(self, core: Core) -> None:
        """The phone shows the eye as the server does (I23)."""
        entries = operated()
        whole = [*entries, decision(entries)]
        asked_ = records.fold_request(whole, reference=exchanges.reference(), today=exchanges.TODAY)
        answer = json.loads(core("door", "call", json.dumps(asked_))["value"])
        assert answer["eyes"]["R"] == eye_of(whole)


class TestContradicting:
    """Two decisions about one lens that differ (I9, I18)."""

    def both(self) -> list[Entry]:
        """Return the eye with an exchange and, by another surgeon, to watch it."""
        entries = operated()
        return [*entries, decision(entries), decision(entries, "observe", OTHER_SURGEON)]

    def test_nothing_is_approved(self) -> None:
        """Both stand; none may be ordered from."""
        entries = self.both()
        eye = eye_of(entries)
        assert eye["state"] == "conflict"
        assert eye["contradicting"] == sorted(one["id"] for one in entries[-2:])

    def test_other_lenses_contradict_too(self) -> None:
        """Two lengths for one eye."""
        entries = operated()
        answer = asked(entries)
        other = asked(entries, choice={**answer["recommended"], "length_um": 11850})
        pair = [exchanges.decided(answer), exchanges.decided(other, "exchange", OTHER_SURGEON)]
        assert eye_of([*entries, *pair])["state"] == "conflict"

    def test_a_third_surgeon_settles(self) -> None:
        """What was kept stands, the other is set aside."""
        entries = self.both()
        settled = records.record(
            "decision.settled",
            {"decisions": sorted(one["id"] for one in entries[-2:]), "kept": entries[-2]["id"]},
            "R", reason="angle closes", **THIRD_SURGEON,
        )  # fmt: skip
        eye = eye_of([*entries, settled])
        assert (eye["state"], eye["approval"]["id"]) == ("approved", entries[-2]["id"])

    def test_whoever_gave_one_cannot(self) -> None:
        """I18."""
        entries = self.both()
        settled = records.record(
            "decision.settled",
            {"decisions": sorted(one["id"] for one in entries[-2:]), "kept": entries[-2]["id"]},
            "R", reason="angle closes", **SURGEON,
        )  # fmt: skip
        assert eye_of([*entries, settled])["state"] == "conflict"

    def test_the_same_twice_does_not(self) -> None:
        """Two surgeons who decide alike agree."""
        entries = operated()
        pair = [decision(entries), decision(entries, "exchange", OTHER_SURGEON)]
        assert eye_of([*entries, *pair])["state"] == "approved"
