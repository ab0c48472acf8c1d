"""What falls with a key that was in other hands, and with a core that was recalled."""

import json
from datetime import datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core import decided, records
from tests.core_runtime import Core
from webapp.core.dates import instant_ms
from webapp.core.errors import BadInput

KEY, RECORD = decided.SURGEON["key"], "f" * 64
BEFORE, AT, AFTER = (f"2026-11-25T{hour}:00:00Z" for hour in ("05", "06", "07"))
"""Around the moment at which the surgeon of these tests says that the approval was made."""


def approved() -> tuple[list[records.Entry], records.Entry]:
    """Return an eye whose request was approved, and the approval."""
    entries = records.whole_eye()
    request = decided.sent(entries)
    approval = decided.approval(entries, request)
    return [*entries, request, approval], approval


def reference(**parts: object) -> dict[str, Any]:
    """Return the reference records with parts about trust."""
    return {**records.REFERENCE, **parts}


def revoked(since: str | None, key: str = KEY) -> dict[str, Any]:
    """Return the reference records with one revoked key."""
    return reference(revoked_keys=[{"id": RECORD, "key": key, "suspected_since": since}])


def recalled(core: str) -> dict[str, Any]:
    """Return the reference records with one recalled core."""
    return reference(recalled_cores=[{"id": RECORD, "core": core, "why": "Turned the axis."}])


def codes(eye: dict[str, Any]) -> list[str]:
    """Return why the approval does not stand."""
    return [reason["code"] for reason in eye["approval"]["stale"]]


class TestSuspectedKey:
    """An approval that says it was signed when the key was in other hands."""

    @pytest.mark.parametrize(("since", "falls"), [(BEFORE, True), (AT, True), (AFTER, False)])
    def test_falls_from_the_time_given_on(self, since: str, falls: bool) -> None:
        """At that very moment too; what was signed before stands."""
        entries, _ = approved()
        eye = decided.eye_of(entries, reference=revoked(since))
        assert codes(eye) == (["key_suspect"] if falls else [])
        assert eye["state"] == ("stale" if falls else "approved")

    def test_nobody_else_had_it(self) -> None:
        """A key that was lost and never used by others leaves its approvals standing."""
        entries, _ = approved()
        assert decided.eye_of(entries, reference=revoked(None))["state"] == "approved"

    def test_another_key(self) -> None:
        """Revoking one phone says nothing of another."""
        entries, _ = approved()
        assert decided.eye_of(entries, reference=revoked(BEFORE, "k9"))["state"] == "approved"

    def test_the_time_zone_is_read(self) -> None:
        """07:30 five and a half hours ahead of UTC is 02:00 UTC: before the approval."""
        entries, _ = approved()
        eye = decided.eye_of(entries, reference=revoked("2026-11-25T07:30:00+05:30"))
        assert codes(eye) == ["key_suspect"]

    def test_after_an_order_somebody_must_answer(self) -> None:
        """The order stands at the supplier; a stop says what came to light."""
        entries, approval = approved()
        entries.append(decided.ordered(approval))
        eye = decided.eye_of(entries, reference=revoked(BEFORE))
        assert eye["state"] == "ordered"
        assert "decisions.late_evidence" in [one["code"] for one in eye["findings"]]


class TestRecalledCore:
    """Nothing is planned, approved or ordered with a core that was recalled."""

    RECALLED = recalled(records.CORE)

    def test_its_approvals_fall(self) -> None:
        """And say why, in the words of the recall."""
        entries, _ = approved()
        eye = decided.eye_of(entries, reference=self.RECALLED)
        assert codes(eye) == ["core_recalled"]
        assert "Turned the axis." in eye["approval"]["stale"][0]["text"]
        assert eye["state"] == "stale"

    def test_its_requests_say_so(self) -> None:
        """The surgeon sees it before deciding."""
        entries, _ = approved()
        eye = decided.eye_of(entries, reference=self.RECALLED)
        assert [one["code"] for one in eye["changed_since"]["request"]] == ["core_recalled"]

    def test_it_plans_nothing(self, core: Core) -> None:
        """A fixed stop, so there is nothing to sign; in each Python."""
        asked = records.plan_request(records.whole_eye(), reference=self.RECALLED)
        plan = json.loads(core("door", "call", json.dumps(asked))["value"])
        assert plan["shown"] is None
        (stop,) = [one for one in plan["findings"] if one["code"] == "core.recalled"]
        assert (stop["level"], stop["fixed"]) == ("stop", 1)

    def test_another_core_plans(self) -> None:
        """The phone that was updated goes on."""
        other = recalled("e" * 64)
        assert decided.shown_for(records.whole_eye(), reference=other) is not None


class TestReference:
    """The records as the core takes them."""

    def test_both_kinds_are_found(self) -> None:
        """Every one counts, whichever came first."""
        key = {"key": "a" * 64, "suspected_since": None, "why": "lost"}
        recall = {"core": records.CORE, "why": "Turned the axis.", "proposed_by": "u-lowe"}
        entries = [
            {**records.record(kind, body, person=None, site="all"), "received": n}
            for n, (kind, body) in enumerate([("key.revoked", key), ("core.recalled", recall)])
        ]
        answer = decided.ask({"do": "reference", "entries": entries})
        key_id, recall_id = (entry["id"] for entry in entries)
        assert answer["revoked_keys"] == [{"id": key_id, "key": "a" * 64, "suspected_since": None}]
        why = "Turned the axis."
        assert answer["recalled_cores"] == [{"id": recall_id, "core": records.CORE, "why": why}]


class TestInstant:
    """Moments as numbers."""

    def test_the_examples_of_the_standard(self) -> None:
        """RFC 3339, section 5.8: the same moment in two time zones."""
        here, there = "1996-12-19T16:39:57-08:00", "1996-12-20T00:39:57Z"
        assert instant_ms(here) == instant_ms(there)
        assert instant_ms("1985-04-12T23:20:50.52Z") - instant_ms("1985-04-12T23:20:50Z") == 520

    @given(
        st.datetimes(datetime(1900, 1, 1), datetime(2100, 1, 1)),
        st.datetimes(datetime(1900, 1, 1), datetime(2100, 1, 1)),
        st.sampled_from(["Z", "+05:30", "-08:00", "+14:00"]),
    )
    def test_against_the_calendar_of_the_library(
        self, one: datetime, other: datetime, zone: str
    ) -> None:
        """Differences are those of Python's own calendar."""
        texts = [at.strftime("%Y-%m-%dT%H:%M:%S") + zone for at in (one, other)]
        first, second = (datetime.fromisoformat(text).timestamp() for text in texts)
        assert instant_ms(texts[1]) - instant_ms(texts[0]) == round((second - first) * 1000)

    @pytest.mark.parametrize(
        "text", ["", "2026-11-25", "2026-11-25T0x:00:00Z", "2026-11-25T01:02Z"]
    )
    def test_what_is_no_instant(self, text: str) -> None:
        """Refused, not guessed."""
        with pytest.raises(BadInput):
            instant_ms(text)
