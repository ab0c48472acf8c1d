"""A back-up lens: named in the approval, ordered beside the chosen one, never released with it.

Every expectation follows from the rules of SAFETY.md (I2, I16 to I19) for one lens, asked of two.
"""

import json
from itertools import permutations
from typing import Any

import pytest

from tests.core import records
from tests.core.backups import (
    APPROVAL,
    ARRIVED,
    BACKUP,
    CHOSEN,
    CHOSEN_BOX,
    CHOSEN_LENS,
    EXPIRED,
    EYE,
    OFFERED,
    ORDERED,
    RELEASE,
    REQUEST,
    SPARE,
    SPARE_BOX,
    box,
    placed,
    release,
)
from tests.core.decided import (
    OTHER_SURGEON,
    SURGEON,
    approval,
    ask,
    cancelled,
    confirmed,
    eye_of,
    received,
    taken_back,
    void,
)
from tests.core.theatre import NURSE, check
from tests.core_runtime import Core

Entry = records.Entry


def released(found: dict[str, Any]) -> tuple[str, str | None]:
    """Return which order is to be implanted, and the check that releases its box."""
    return found["order"]["number"], found["box"]["verified"]


# What came after both orders, the state, the order to implant, the check that releases its box.
CASES: list[tuple[str, list[Entry], str, Entry, Entry | None]] = [
    ("nothing yet", [], "received", CHOSEN, None),
    ("the chosen box", [CHOSEN_BOX], "verified", CHOSEN, CHOSEN_BOX),
    ("the back-up box alone", [SPARE_BOX], "received", CHOSEN, None),
    ("both boxes", [CHOSEN_BOX, SPARE_BOX], "verified", CHOSEN, CHOSEN_BOX),
    ("the chosen one expired", [EXPIRED, SPARE_BOX], "received", CHOSEN, None),
    ("the back-up released", [EXPIRED, SPARE_BOX, RELEASE], "verified", SPARE, SPARE_BOX),
    ("its box not checked", [EXPIRED, RELEASE], "received", SPARE, None),
    ("instead of a good one", [CHOSEN_BOX, SPARE_BOX, release(CHOSEN_BOX)], "verified", SPARE,
     SPARE_BOX),
    ("by a check that is not here", [CHOSEN_BOX, SPARE_BOX, RELEASE], "received", CHOSEN, None),
    ("by the back-up's own check", [CHOSEN_BOX, SPARE_BOX, release(SPARE_BOX)], "received", CHOSEN,
     None),
]  # fmt: skip


@pytest.mark.parametrize(
    ("more", "state", "order", "check"), [row[1:] for row in CASES], ids=[row[0] for row in CASES]
)
def test_one_alone_is_released_in_any_order_of_arrival(
    more: list[Entry], state: str, order: Entry, check: Entry | None
) -> None:
    """The chosen one, until a surgeon's record names its check; then the back-up and it alone."""
    for arrived in permutations(more):
        found = eye_of([*arrived, *ARRIVED, *arrived])
        assert found["state"] == state, found["state_why"]
        assert found["order"]["id"] == order["id"]
        assert found["box"]["verified"] == (check["id"] if check else None)
        both = (found["backup"]["chosen_box"]["verified"], found["backup"]["box"]["verified"])
        assert [one for one in both if one] == ([check["id"]] if check else [])


@pytest.mark.parametrize("more", [row[1] for row in CASES], ids=[row[0] for row in CASES])
def test_both_pythons_agree(browser_core: Core, more: list[Entry]) -> None:
    """I23: the phone sees the same two lenses as the server."""
    asked = json.dumps(records.fold_request([*ARRIVED, *more]))
    found = json.loads(browser_core("door", "call", asked)["value"])["eyes"]["R"]
    assert found == eye_of([*ARRIVED, *more])


class TestPlan:
    """What may be named as a back-up."""

    def test_the_plan_offers_those_of_the_chosen_length(self) -> None:
        """Among the lenses shown at that length, the chosen one included, and no other."""
        plan = ask(records.plan_request(EYE))
        length = plan["shown"]["lens"]["length_um"]
        lenses = next(one["lenses"] for one in plan["lengths"] if one["length_um"] == length)
        shown = [(one["model"], one["sphere_cD"], one["cylinder_cD"]) for one in lenses]
        offered = [(one["model"], one["sphere_cD"], one["cylinder_cD"]) for one in OFFERED]
        assert set(offered) <= set(shown) and len(offered) >= 2
        assert {one["length_um"] for one in OFFERED} == {length}

    def test_none_that_would_have_to_be_answered_for(self) -> None:
        """Each of them chosen gives the findings of the chosen one, so what was shown covers it."""
        plan = ask(records.plan_request(EYE))
        codes = [one["code"] for one in plan["findings"]]
        for lens in OFFERED:
            other = ask(records.plan_request(EYE, choice=lens))
            assert [one["code"] for one in other["findings"]] == codes

    def test_none_where_no_lens_is_shown(self) -> None:
        """Without a plan there is nothing to name."""
        assert ask(records.plan_request(EYE[:3]))["backups"] == []
        wrong = {**OFFERED[0], "length_um": 12345}
        assert ask(records.plan_request(EYE, choice=wrong))["backups"] == []


class TestApproval:
    """A field beside what was shown."""

    def test_is_said_wherever_the_lens_is(self) -> None:
        """In the state, the timeline and the approval."""
        found = eye_of([*EYE, REQUEST, APPROVAL])
        assert found["state"] == "approved" and ", back-up Model" in found["state_why"]
        assert found["approval"]["backup"] == BACKUP
        assert any(", back-up Model" in one["text"] for one in found["timeline"])

    def test_without_one_nothing_is_different(self) -> None:
        """An approval from before, and one that names none, say the same."""
        plain, none = approval(EYE, REQUEST), approval(EYE, REQUEST, backup=None)
        first, second = (eye_of([*EYE, REQUEST, one]) for one in (plain, none))
        assert first["state_why"] == second["state_why"]
        assert first["backup"] is second["backup"] is None

    def test_two_surgeons_who_differ_in_it_contradict_each_other(self) -> None:
        """I9: nothing is ordered while two approvals name different things to order."""
        other = approval(EYE, REQUEST, OTHER_SURGEON)
        assert eye_of([*EYE, REQUEST, APPROVAL, other])["state"] == "conflict"
        same = approval(EYE, REQUEST, OTHER_SURGEON, backup=BACKUP)
        assert eye_of([*EYE, REQUEST, APPROVAL, same])["state"] == "approved"

    def test_a_back_up_that_is_no_longer_made(self) -> None:
        """The approval falls, though the chosen lens still is."""
        gone = {**BACKUP, "length_um": 12345}
        found = eye_of([*EYE, REQUEST, approval(EYE, REQUEST, backup=gone)])
        assert [one["code"] for one in found["approval"]["stale"]] == ["lens"]


class TestOrder:
    """Two orders, of which each is what was signed, and which end together."""

    def test_the_back_up_is_the_lens_that_was_signed_as_one(self) -> None:
        """D24 for each: another lens than the approval's is a stop."""
        codes = [one["code"] for one in eye_of(ORDERED)["findings"]]
        assert "D24.order_lens" not in codes
        wrong = placed(CHOSEN_LENS, "SP-2", CHOSEN)
        codes = [one["code"] for one in eye_of([*ORDERED[:-1], wrong])["findings"]]
        assert "D24.order_lens" in codes

    def test_cancelling_the_chosen_one_ends_both(self) -> None:
        """Nothing stands, whatever was checked and released before."""
        found = eye_of([*ARRIVED, EXPIRED, SPARE_BOX, RELEASE, cancelled(CHOSEN)])
        assert (found["state"], found["backup"], found["box"]) == ("cancelled", None, None)
        assert {one["stage"] for one in found["orders"]} == {"cancelled"}

    def test_cancelling_the_back_up_leaves_the_chosen_one(self) -> None:
        """As if none had been named."""
        found = eye_of([*ARRIVED, CHOSEN_BOX, SPARE_BOX, cancelled(SPARE)])
        assert (found["state"], found["backup"]) == ("verified", None)
        assert released(found) == ("SP-1", CHOSEN_BOX["id"])

    def test_cancelling_a_released_back_up_leaves_none(self) -> None:
        """The chosen one was said not to be implanted, and stays so until that is taken back."""
        more = [CHOSEN_BOX, SPARE_BOX, release(CHOSEN_BOX), cancelled(SPARE)]
        found = eye_of([*ARRIVED, *more])
        assert found["box"]["verified"] is None
        assert "backup.none_released" in [one["code"] for one in found["findings"]]

    def test_two_back_ups_release_neither(self) -> None:
        """I2 for each of the two: which of them was meant?"""
        third = placed(BACKUP, "SP-3", CHOSEN)
        here = [*ARRIVED, third, received(third), EXPIRED]
        for order in (SPARE, third):
            word = release(EXPIRED, order=order["id"])
            found = eye_of([*here, box(order, "SER5"), word])
            assert found["box"]["verified"] is None
            assert {"backup.twice", "backup.none_released"} <= {
                one["code"] for one in found["findings"]
            }

    def test_a_back_up_without_its_chosen_order_is_none(self) -> None:
        """A restored base may get it back first: nothing stands until the chosen one is there."""
        found = eye_of([*EYE, REQUEST, APPROVAL, SPARE, received(SPARE), SPARE_BOX])
        assert (found["state"], found["order"]) == ("approved", None)

    def test_another_confirmation_of_the_back_up_holds_it_back_alone(self) -> None:
        """The chosen lens goes on; the back-up is not released, whoever says so."""
        longer = confirmed(SPARE, lens={"length_um": 13100})
        assert eye_of([*ARRIVED, CHOSEN_BOX, longer])["state"] == "verified"
        found = eye_of([*ARRIVED, EXPIRED, SPARE_BOX, RELEASE, longer])
        assert (found["state"], found["box"]["verified"]) == ("ordered", None)

    def test_a_late_back_up_is_asked_after_too(self) -> None:
        """Its reminder begins with what it is, once the chosen one is here."""
        late = eye_of([*ORDERED, received(CHOSEN)], today="2027-03-01")["overdue"]
        assert late["order"] == SPARE["id"] and late["text"].startswith("The back-up lens: ")
        assert eye_of(ORDERED, today="2027-03-01")["overdue"]["order"] == CHOSEN["id"]
        assert eye_of(ARRIVED, today="2027-03-01")["overdue"] is None


class TestRelease:
    """The surgeon's record."""

    def test_a_key_in_other_hands_takes_away_and_gives_nothing(self) -> None:
        """Neither lens goes on by it."""
        key = {"id": "e" * 64, "key": "k2", "suspected_since": "2026-12-01T00:00:00.000Z"}
        reference = {**records.REFERENCE, "revoked_keys": [key]}
        more = [CHOSEN_BOX, SPARE_BOX, release(CHOSEN_BOX)]
        found = eye_of([*ARRIVED, *more], reference=reference)
        assert found["backup"]["released"] is None
        assert released(found) == ("SP-1", None)

    def test_a_stop_in_theatre_is_a_check_too(self) -> None:
        """The lens may have been turned over in the eye, long after its box was right."""
        turned = check(CHOSEN_BOX, order=CHOSEN["id"], outcome="not_implanted", why="turned")
        found = eye_of([*ARRIVED, CHOSEN_BOX, SPARE_BOX, turned, release(turned)])
        assert released(found) == ("SP-2", SPARE_BOX["id"])

    def test_of_two_words_the_newest_is_shown(self) -> None:
        """Both say the same; whoever said it last is asked."""
        first = release(EXPIRED)
        body = first["payload"]["body"]  # type: ignore[index]
        who = {**OTHER_SURGEON, "wall": "2026-12-06T07:00:00.000Z"}
        second = records.record("backup.released", body, "R", reason="It leaks.", **who)
        for words in ([first, second], [second, first]):
            found = eye_of([*ARRIVED, EXPIRED, SPARE_BOX, *words])
            assert found["backup"]["released"]["id"] == second["id"]

    def test_only_a_surgeons_counts(self) -> None:
        """Whoever else signs one changes nothing."""
        by_nurse = release(CHOSEN_BOX, NURSE)
        found = eye_of([*ARRIVED, CHOSEN_BOX, SPARE_BOX, by_nurse])
        assert released(found) == ("SP-1", CHOSEN_BOX["id"])

    @pytest.mark.parametrize("end", [taken_back, void])
    def test_taken_back_the_chosen_one_is_as_before(self, end: Any) -> None:  # noqa: ANN401
        """By its own author, in either of the two ways."""
        record = release(CHOSEN_BOX)
        back = end(record, SURGEON) if end is taken_back else end(record, **SURGEON)
        found = eye_of([*ARRIVED, CHOSEN_BOX, SPARE_BOX, record, back])
        assert released(found) == ("SP-1", CHOSEN_BOX["id"])

    def test_what_came_late_holds_both_back(self) -> None:
        """H23: the same readings stand behind both."""
        new = records.record(
            "reading.white_to_white",
            {"diameter_um": 11700, "device": "calliper 2", "taken": "2026-12-05T04:00:00.000Z"},
            "R", wall="2026-12-05T04:00:00.000Z",
        )  # fmt: skip
        found = eye_of([*ARRIVED, EXPIRED, SPARE_BOX, RELEASE, new])
        assert found["late"]["blocks"] == 1
        assert (found["late"]["order"], found["box"]["verified"]) == (CHOSEN["id"], None)

    def test_a_wrong_box_of_the_chosen_lens_stops_the_back_up_no_longer(self) -> None:
        """That box is why; a wrong one of the back-up does."""
        codes = [one["code"] for one in eye_of([*ARRIVED, EXPIRED, SPARE_BOX, RELEASE])["findings"]]
        assert "box.differs" not in codes
        bad = box(SPARE, "SER4", outcome="differs")
        found = eye_of([*ARRIVED, EXPIRED, SPARE_BOX, RELEASE, bad])
        assert "box.differs" in [one["code"] for one in found["findings"]]
        assert found["box"]["verified"] is None

    @pytest.mark.parametrize(
        ("more", "says"),
        [
            ([], "was not checked yet"),
            ([EXPIRED, RELEASE], "released already"),
        ],
    )
    def test_what_is_missing_before_it_is_said(self, more: list[Entry], says: str) -> None:
        """So that a page can say what to do first."""
        backup = eye_of([*ARRIVED, *more])["backup"]
        assert backup["can_release"] == 0 and says in backup["why_not"]
        here = eye_of([*ORDERED, received(CHOSEN), EXPIRED])["backup"]
        assert "not here yet" in here["why_not"]
        assert eye_of([*ARRIVED, EXPIRED])["backup"]["can_release"] == 1


def surgery(order: Entry, serial: str) -> Entry:
    """Return the surgery that implanted the lens of one of the two orders."""
    body = {
        "operated": "2026-12-06", "lens": order["payload"]["body"]["lens"],  # type: ignore[index]
        "serial": serial, "order": order["id"], "approval": APPROVAL["id"],
        "incision_meridian_deg": None, "final_axis_deg": None, "operator": "Dr S. Verrill",
        "event": "none", "note": None,
    }  # fmt: skip
    who = {**SURGEON, "wall": "2026-12-06T10:00:00.000Z"}
    return records.record("surgery.implanted", body, "R", **who)


class TestSurgery:
    """Whichever was implanted, both orders are done."""

    def test_with_the_back_up(self) -> None:
        """Its serial number goes through, and no order is left standing."""
        found = eye_of([*ARRIVED, EXPIRED, SPARE_BOX, RELEASE, surgery(SPARE, "SER5")])
        assert (found["state"], found["backup"]) == ("implanted", None)
        codes = [one["code"] for one in found["findings"]]
        assert not {"theatre.other_lens", "backup.other_implanted"} & set(codes)

    def test_with_the_chosen_one(self) -> None:
        """The back-up stays on its shelf and stops nothing."""
        found = eye_of([*ARRIVED, CHOSEN_BOX, SPARE_BOX, surgery(CHOSEN, "SER9")])
        assert (found["state"], found["backup"]) == ("implanted", None)
        assert "backup.other_implanted" not in [one["code"] for one in found["findings"]]

    @pytest.mark.parametrize(
        "more",
        [
            [CHOSEN_BOX, SPARE_BOX, surgery(SPARE, "SER5")],
            [CHOSEN_BOX, SPARE_BOX, release(CHOSEN_BOX), surgery(CHOSEN, "SER9")],
        ],
    )
    def test_the_other_one_than_was_released_is_said(self, more: list[Entry]) -> None:
        """What was done is recorded, with a standing word about it (I21)."""
        codes = [one["code"] for one in eye_of([*ARRIVED, *more])["findings"]]
        assert "backup.other_implanted" in codes


class TestTheatre:
    """What a tablet is told once the surgeon has spoken, and before."""

    CODE = "]d2010950600013435217310228" + "10LOT7\u241d21SER5"

    def asked(self, entries: list[Entry], order: Entry, **read: object) -> Any:  # noqa: ANN401
        """Return the door's answer about the right eye in theatre."""
        blank = dict.fromkeys(("eye_said", "code", "trace", "second_trace", "printed_same"))
        return ask({
            "do": "theatre", "entries": entries, "reference": records.REFERENCE, "eye": "R",
            "today": "2026-12-06", "core": records.CORE, "order": order["id"],
            "days": ["2026-12-06"], "incision_meridian_deg": None, **blank, **read,
        })  # fmt: skip

    def test_the_back_up_is_the_lens_once_it_is_released(self) -> None:
        """Its lens, its box, no stop; and that it is the back-up is said."""
        here = [*ARRIVED, EXPIRED, SPARE_BOX, RELEASE]
        answer = self.asked(here, SPARE, eye_said="R", code=self.CODE, printed_same=1)
        assert (answer["outcome"], answer["stops"]) == ("agrees", [])
        assert answer["lens"]["sphere_cD"] == BACKUP["sphere_cD"]
        assert answer["backup"]["sentence"].startswith("This is the back-up lens.")

    def test_the_chosen_one_is_stopped_there(self) -> None:
        """Whoever had it open before the surgeon's word is stopped."""
        here = [*ARRIVED, CHOSEN_BOX, SPARE_BOX, release(CHOSEN_BOX)]
        answer = self.asked(here, CHOSEN)
        assert [one["code"] for one in answer["stops"]] == ["theatre.other_order"]

    def test_the_back_ups_box_is_another_box_before(self) -> None:
        """Taken for the chosen one it differs by its serial number, and stops."""
        here = [*ARRIVED, CHOSEN_BOX, SPARE_BOX]
        answer = self.asked(here, CHOSEN, eye_said="R", code=self.CODE)
        assert answer["outcome"] == "differs"
        assert answer["backup"]["sentence"].startswith("A back-up lens was ordered too")

    def test_the_chosen_ones_paper_holds_no_more(self) -> None:
        """H45: the sheet of the lens that is not released says so."""
        here = [*ARRIVED, EXPIRED, SPARE_BOX, RELEASE]
        code = f"lampside-order/1:{records.DIGEST}:{CHOSEN['id']}"
        said = self.asked(here, SPARE, sheet=code)["sheet"]
        assert said["current"] == 0 and "of two, the other one is" in said["text"]
