"""The lenses of one eye, linked by what each surgery says; readings never cross (I22)."""

import json
from typing import Any

from tests.core import decided, exchanges, records, surgeries
from tests.core.decided import SURGEON, ask
from tests.core.exchanges import implanted, operated
from tests.core.records import Entry
from tests.core.second_cycle import LATER, exchanged, eye_of, removed
from tests.core_runtime import Core


class TestLinked:
    """Lenses of one eye are linked by what each surgery says; readings never cross (I22)."""

    def test_two_surgeries_without_a_link_contradict(self) -> None:
        """Nobody says that one was taken out."""
        entries = operated()
        second = exchanged(entries[-4], explants=None, explanted_serial=None)
        eye = eye_of([*entries, second], "2026-12-12")
        assert eye["state"] == "conflict"
        assert "E1.two_lenses" in {one["code"] for one in eye["findings"]}

    def test_the_second_names_the_first(self) -> None:
        """One lens is in the eye; the other was taken out that day, by that surgery."""
        entries = operated()
        second = exchanged(entries[-4])
        eye = eye_of([*entries, second], "2026-12-12")
        first, now = eye["surgeries"]
        assert (first["in_eye"], first["explanted_on"], first["next"]) == (
            0, "2026-12-10", second["id"],
        )  # fmt: skip
        assert (now["in_eye"], now["explants"], now["next"]) == (1, entries[-4]["id"], None)
        assert eye["state"] == "implanted"

    def test_readings_stay_with_their_lens(self) -> None:
        """Each trend, and each alert, is of one lens alone."""
        entries = operated()
        second = exchanged(entries[-4])
        vault = surgeries.found("vault", second, "R", vault_um=640, taken=LATER)
        eye = eye_of([*entries, second, vault], "2026-12-21")
        first, now = eye["surgeries"]
        assert {one["id"] for one in first["followups"]} == {one["id"] for one in entries[-3:]}
        assert [one["id"] for one in now["followups"]] == [vault["id"]]
        assert not any(one["code"].startswith("E1.vault") for one in eye["findings"])

    def test_nothing_is_read_of_a_lens_that_is_out(self) -> None:
        """A reading under the old lens's name from after its removal is of no lens."""
        entries = operated()
        stray = surgeries.found("vault", entries[-4], "R", vault_um=700, taken=LATER)
        eye = eye_of([*entries, exchanged(entries[-4]), stray], "2026-12-21")
        named = {one["id"] for surgery in eye["surgeries"] for one in surgery["followups"]}
        assert stray["id"] not in named

    def test_a_corrected_first_surgery_stays_linked(self) -> None:
        """The second one names it by its earlier id."""
        entries = operated()
        corrected = implanted(
            replaces=entries[-4]["id"], reason="serial misread", serial="TI-70013", seq=12
        )
        eye = eye_of([*entries, corrected, exchanged(entries[-4])], "2026-12-12")
        assert [one["in_eye"] for one in eye["surgeries"]] == [0, 1]

    def test_a_day_before_the_first_takes_nothing_out(self) -> None:
        """What is said to have come before it cannot have ended it."""
        entries = operated()
        eye = eye_of([*entries, exchanged(entries[-4], operated="2026-10-01")], "2026-12-12")
        assert eye["state"] == "conflict"

    def test_a_withdrawn_second_surgery_gives_the_first_back(self) -> None:
        """The lens lies in the eye as before."""
        entries = operated()
        second = exchanged(entries[-4])
        undo = decided.void(second, **{**SURGEON, "seq": 71})
        eye = eye_of([*entries, second, undo], "2026-12-12")
        assert [one["in_eye"] for one in eye["surgeries"]] == [1]

    def test_any_order_of_arrival(self) -> None:
        """The same with the records turned round (I5)."""
        entries = operated()
        whole = [*entries, exchanged(entries[-4])]
        assert eye_of(whole[::-1]) == eye_of(whole)

    def test_an_urgent_reading_of_the_old_lens_still_waits(self) -> None:
        """The lens is out, but nobody at the base has answered what was seen (H37)."""
        entries = operated()
        pressure = surgeries.found("pressure", entries[-4], "R", iop_dmmHg=380)
        eye = eye_of([*entries, pressure, exchanged(entries[-4])], "2026-12-12")
        assert [(one["reading"], one["open"]) for one in eye["urgent"]] == [(pressure["id"], 1)]

    def test_nobody_is_called_for_the_old_lens(self) -> None:
        """Its visits have ended; those of the new one begin."""
        entries = operated()
        first, now = eye_of([*entries, exchanged(entries[-4])], "2027-06-01")["surgeries"]
        assert first["schedule"]["state"] == "ended"
        assert first["schedule"]["text"].startswith("Taken out 10 Dec 2026.")
        assert now["schedule"]["state"] in ("overdue", "lost")

    def test_removal_alone(self) -> None:
        """Without a new lens, what is read of the eye from then on is of the natural eye."""
        entries = operated()
        out = removed(entries[-4])
        again = records.reading("reading.refraction", "R", "2027-01-20T08:00:00.000Z")
        eye = eye_of([*entries, out, again], "2027-01-21")
        assert [one["in_eye"] for one in eye["surgeries"]] == [0]
        assert eye["exchange"] is None
        assert not any(one["code"].startswith("E2.") for one in eye["findings"])

    def test_read_while_it_lay_in_the_eye(self) -> None:
        """A refraction entered as from before stays one with a lens in the eye (E2)."""
        entries = operated()
        again = records.reading("reading.refraction", "R", "2026-11-20T08:00:00.000Z")
        eye = eye_of([*entries, removed(entries[-4]), again], "2026-12-12")
        assert "E2.altered" in {one["code"] for one in eye["findings"]}


class TestTogether:
    """Two lenses that lay in one eye at one time contradict, also once one of them is out."""

    def codes(self, entries: list[Entry]) -> set[str]:
        """Return the codes of the findings of the eye, which is in conflict."""
        eye = eye_of(entries, "2026-12-20")
        assert eye["state"] == "conflict"
        assert eye["exchange"] is None
        return {one["code"] for one in eye["findings"]}

    def test_implanted_before_the_other_one_came_out(self) -> None:
        """Removed on the tenth, and a new lens from the fifth, which took nothing out."""
        entries = operated()
        second = exchanged(
            entries[-4], operated="2026-12-05", explants=None, explanted_serial=None
        )  # fmt: skip
        for whole in ([*entries, removed(entries[-4]), second],
                      [second, removed(entries[-4]), *entries]):  # fmt: skip
            assert "E1.two_lenses" in self.codes(whole)

    def test_on_the_day_of_the_removal_it_does_not(self) -> None:
        """One operation, told in two records."""
        entries = operated()
        second = exchanged(entries[-4], explants=None, explanted_serial=None)
        eye = eye_of([*entries, removed(entries[-4]), second], "2026-12-12")
        assert [one["in_eye"] for one in eye["surgeries"]] == [0, 1]
        assert eye["state"] == "implanted"

    def test_an_older_lens_that_nobody_took_out(self) -> None:
        """It came late: the one that was taken out lay in the eye beside it."""
        entries = operated()
        older = implanted(operated="2026-08-01", serial="TI-60001", seq=62)
        assert "E1.two_lenses" in self.codes([*entries, removed(entries[-4]), older])

    def test_until_somebody_says_how_it_came_out(self) -> None:
        """Its removal, recorded later still, or the correction of the surgery after it."""
        entries = operated()
        older = implanted(operated="2026-08-01", serial="TI-60001", seq=62)
        out = removed(older, "2026-09-01", serial="TI-60001")
        named = implanted(
            replaces=entries[-4]["id"], reason="there was a lens", seq=63,
            explants=older["id"], explanted_serial="TI-60001", explanted_reason=None,
        )  # fmt: skip
        for said in (out, named):
            eye = eye_of([*entries, older, said], "2026-12-12")
            assert eye["state"] == "followed"
            assert [one["in_eye"] for one in eye["surgeries"]] == [0, 1]

    def test_both_pythons_agree(self, core: Core) -> None:
        """The phone says so as the server does (I23)."""
        entries = operated()
        older = implanted(operated="2026-08-01", serial="TI-60001", seq=62)
        whole = [*entries, removed(entries[-4]), older]
        asked = records.fold_request(whole, reference=exchanges.reference(), today="2026-12-20")
        answer = json.loads(core("door", "call", json.dumps(asked))["value"])
        assert answer["eyes"]["R"] == eye_of(whole, "2026-12-20")


def test_a_loop_takes_nothing_out() -> None:
    """Two surgeries of one day that name each other, one by a correction, contradict."""
    entries = operated()
    first = entries[-4]
    second = exchanged(first, operated=exchanges.OPERATED)
    corrected = implanted(
        replaces=first["id"], reason="misread", explants=second["id"], seq=13,
    )  # fmt: skip
    assert eye_of([*entries, second, corrected])["state"] == "conflict"


class TestFellow:
    """What a first eye with two lenses teaches its fellow."""

    def fellow_of(self, entries: list[Entry]) -> Any:  # noqa: ANN401
        """Return what the left eye's plan is told of the right one."""
        whole = [*entries, *surgeries.first_eye("L")]
        asked_ = records.plan_request(whole, "L", reference=exchanges.reference(),
                                      today="2027-02-01")  # fmt: skip
        return ask(asked_)["fellow"]

    def test_the_newest_lens_that_was_seen(self) -> None:
        """The exchanged lens speaks once it was seen late enough; until then the first one does."""
        entries = operated()
        second = exchanged(entries[-4])
        assert self.fellow_of([*entries, second])["implant"] == entries[-4]["id"]
        vault = surgeries.found("vault", second, "R", vault_um=640,
                                taken="2027-01-20T08:00:00.000Z")  # fmt: skip
        assert self.fellow_of([*entries, second, vault])["implant"] == second["id"]

    def test_not_where_surgeries_contradict(self) -> None:
        """Which lens was found is not known."""
        entries = operated()
        second = exchanged(entries[-4], explants=None, explanted_serial=None)
        assert self.fellow_of([*entries, second]) is None
