"""The case file: the states of an eye, and decisions that contradict each other."""

from tests.core import decided, records
from tests.core.decided import (
    OTHER_SURGEON,
    answered,
    approval,
    cancelled,
    decline,
    eye_of,
    ordered,
    question,
    sent,
    taken_back,
)
from tests.core.records import Entry, find


class TestStates:
    """From the first reading to the order."""

    def test_measuring_names_what_is_missing(self) -> None:
        """White-to-white and endothelial count are still to do."""
        eye = records.whole_eye(white_to_white=None, endothelial_count=None)
        found = eye_of(eye)
        assert found["state"] == "measuring"
        assert found["state_why"] == "Still to measure: White-to-white, endothelial count."

    def test_ready(self, eye: list[Entry]) -> None:
        """All quantities are there."""
        assert eye_of(eye)["state"] == "ready"

    def test_queued(self, eye: list[Entry], request_: Entry) -> None:
        """Sent, nobody has decided."""
        found = eye_of([*eye, request_])
        assert found["state"] == "queued"
        assert found["request"]["id"] == request_["id"]

    def test_returned_until_answered(self, eye: list[Entry], request_: Entry) -> None:
        """A question goes back to the camp; its answer brings the eye to the queue again."""
        asked = question(request_)
        found = eye_of([*eye, request_, asked])
        assert found["state"] == "returned"
        assert found["question"]["answered"] == 0
        found = eye_of([*eye, request_, asked, answered(asked)])
        assert found["state"] == "queued"
        assert found["question"]["answers"][0]["text"] == "Yes."

    def test_approved(self, approved: list[Entry]) -> None:
        """Everything agrees: the approval stands."""
        found = eye_of(approved)
        assert found["state"] == "approved"
        assert found["approval"]["live"] == 1
        assert found["approval"]["stale"] == []

    def test_declined(self, eye: list[Entry], request_: Entry) -> None:
        """Declined with its reason; a new request opens the eye again."""
        entries = [*eye, request_, decline(request_)]
        assert eye_of(entries)["state"] == "declined"
        assert eye_of([*entries, sent(eye, seq=60)])["state"] == "queued"

    def test_ordered_and_cancelled(self, approved: list[Entry]) -> None:
        """An order ends in a cancellation; its approval serves no second time."""
        order = ordered(approved[-1])
        found = eye_of([*approved, order])
        assert (found["state"], found["approval"]["live"]) == ("ordered", 1)
        found = eye_of([*approved, order, cancelled(order)])
        assert found["state"] == "cancelled"
        assert found["order"]["cancelled"] == "Person moved away"
        assert found["approval"]["live"] == 0

    def test_withdrawn_request_is_ready_again(self, eye: list[Entry], request_: Entry) -> None:
        """The optometrist took the request back."""
        back = taken_back(request_, {"author": "u-ambler", "role": "optometrist", "key": "k1"})
        assert eye_of([*eye, request_, back])["state"] == "ready"

    def test_other_eye_is_untouched(self, approved: list[Entry]) -> None:
        """Nothing of the right eye moves the left one."""
        answer = decided.ask(records.fold_request(approved))
        assert answer["eyes"]["L"]["state"] == "measuring"
        assert answer["eyes"]["L"]["approval"] is None


class TestConflicts:
    """Decisions and records that contradict each other."""

    def test_two_lenses(self, eye: list[Entry], request_: Entry) -> None:
        """Two surgeons approve different lenses: nothing stands until one is withdrawn (I9)."""
        one = approval(eye, request_)
        shown = {**decided.shown_for(eye)}
        shown["lens"] = {**shown["lens"], "sphere_cD": -1000}
        other = approval(eye, request_, OTHER_SURGEON, shown=shown)
        found = eye_of([*eye, request_, one, other])
        assert found["state"] == "conflict"
        assert "decisions.conflict" in [one["code"] for one in found["findings"]]
        settled = eye_of([*eye, request_, one, other, taken_back(other, OTHER_SURGEON)])
        assert settled["state"] == "approved"

    def test_same_lens_twice_is_no_conflict(self, eye: list[Entry], request_: Entry) -> None:
        """Two approvals of one lens agree."""
        both = [approval(eye, request_), approval(eye, request_, OTHER_SURGEON)]
        assert eye_of([*eye, request_, *both])["state"] == "approved"

    def test_approved_and_declined(self, approved: list[Entry], request_: Entry) -> None:
        """One surgeon approves, another declines the same request."""
        assert eye_of([*approved, decline(request_, OTHER_SURGEON)])["state"] == "conflict"

    def test_one_record_corrected_twice(self, eye: list[Entry]) -> None:
        """Both corrections are shown and neither wins."""
        old = find(eye, "reading.white_to_white")
        both = [
            records.reading(
                "reading.white_to_white",
                diameter_um=um,
                replaces=old["id"],
                reason="slip",
                key=key,
            )
            for um, key in ((11700, "k1"), (11800, "k9"))
        ]
        found = eye_of([*eye, *both])
        shown = next(one for one in found["readings"] if one["kind"].endswith("white_to_white"))
        assert len(shown["entries"]) == 2
        assert "records.two_corrections" in [one["code"] for one in found["findings"]]

    def test_order_stands_when_evidence_comes_late(self, approved: list[Entry]) -> None:
        """The supplier has the order; the eye says that something changed."""
        late = records.reading("reading.white_to_white", diameter_um=11930, seq=9)
        found = eye_of([*approved, ordered(approved[-1]), late])
        assert found["state"] == "ordered"
        told = next(one for one in found["findings"] if one["code"] == "decisions.late_evidence")
        assert "11.93 mm (before: 11.62 mm)" in told["text"]

    def test_time_alone_is_no_late_evidence(self, approved: list[Entry]) -> None:
        """Readings that grow old after the order do not trouble it."""
        found = eye_of([*approved, ordered(approved[-1])], today="2027-04-01")
        assert found["state"] == "ordered"
        assert "decisions.late_evidence" not in [one["code"] for one in found["findings"]]

    def test_two_orders(self, approved: list[Entry]) -> None:
        """Two live orders of one eye are named as a conflict (I2)."""
        both = [ordered(approved[-1]), ordered(approved[-1], "SP-2")]
        assert eye_of([*approved, *both])["state"] == "conflict"
