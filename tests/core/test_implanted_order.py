"""An order that a standing surgery names is done: it stands no longer, nor was it cancelled."""

from tests.core import decided, records
from tests.core.decided import SURGEON
from tests.core.second_cycle import first_order, removed


class TestAnOrderThatWasImplanted:
    """An order that a standing surgery names is done: it stands no longer, nor was it cancelled."""

    def test_is_live_no_more(self) -> None:
        """The eye is implanted, and nothing waits at the supplier or for an answer."""
        eye = decided.eye_of(first_order())
        assert eye["state"] == "implanted"
        assert (eye["late"], eye["overdue"], eye["contradicting"]) == (None, None, [])

    def test_a_reading_after_it_asks_nobody(self) -> None:
        """What came late cannot keep back a lens that lies in the eye."""
        late = records.reading("reading.white_to_white", diameter_um=11640, seq=8)
        assert decided.eye_of([*first_order(), late])["late"] is None

    def test_comes_back_with_the_withdrawal_of_the_surgery(self) -> None:
        """The surgery was recorded in error: the order stands as before."""
        entries = first_order()
        undo = decided.void(entries[-1], **{**SURGEON, "seq": 70})
        assert decided.eye_of([*entries, undo])["state"] == "ordered"

    def test_is_not_a_cancelled_one_after_removal(self) -> None:
        """The lens was taken out: the eye is one to be planned, and nothing was cancelled."""
        entries = first_order()
        eye = decided.eye_of([*entries, removed(entries[-1])])
        assert eye["state"] in ("ready", "measuring")
        assert eye["approval"] is None
