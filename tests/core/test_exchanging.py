"""A second cycle in one eye: decided about its lens, ordered for it, put in its place."""

import json
from typing import Any

import pytest

from tests.core import decided, exchanges, records, surgeries
from tests.core.decided import DESK, OTHER_SURGEON, SURGEON, THIRD_SURGEON, ask
from tests.core.exchanges import before, implanted, operated, question, seen
from tests.core.records import Entry
from tests.core_runtime import Core

LATER = "2026-12-20T08:00:00.000Z"


def eye_of(entries: list[Entry], today: str = exchanges.TODAY, **more: Any) -> dict[str, Any]:  # noqa: ANN401
    """Return the right eye of the fold under the worked reference."""
    asked = records.fold_request(entries, reference=exchanges.reference(**more), today=today)
    answer = ask(asked)
    assert "error" not in answer, answer
    right: dict[str, Any] = answer["eyes"]["R"]
    return right


def asked(entries: list[Entry], **more: object) -> dict[str, Any]:
    """Return what the door says of the lens in the eye."""
    answer: dict[str, Any] = ask(question(entries, **more))
    return answer


def decision(entries: list[Entry], *given: Any, **changed: Any) -> Entry:  # noqa: ANN401
    """Return a decision about the lens in this eye, as it stands in these records."""
    return exchanges.decided(asked(entries), *given, **changed)


def ordered(made: Entry, number: str = "SP-2") -> Entry:
    """Return the order of a decision to exchange."""
    return decided.ordered(made, number)


def exchanged(old: Entry, order: Entry | None = None, **given: Any) -> Entry:  # noqa: ANN401
    """Return the surgery that took one lens out and put another in its place."""
    lens = {**exchanges.LENS, "length_um": 12100}
    if order is not None:
        given = {"order": order["id"], "approval": order["payload"]["body"]["approval"], **given}  # type: ignore[index]
    body = {
        "operated": "2026-12-10", "serial": "TI-70099", "explants": old["id"],
        "explanted_serial": "TI-70012", "explanted_reason": None, "seq": 60, **given,
    }  # fmt: skip
    return implanted(lens=lens, **body)


def removed(old: Entry, operated_on: str = "2026-12-10", **given: Any) -> Entry:  # noqa: ANN401
    """Return the removal of a lens without a new one."""
    body = {
        "implant": old["id"], "operated": operated_on, "serial": "TI-70012", "serial_reason": None,
        "operator": "Dr S. Verrill", "why": "cells", "note": None, **given,
    }  # fmt: skip
    return records.record("surgery.explanted", body, "R", **{**SURGEON, "seq": 61})


def first_order() -> list[Entry]:
    """Return an eye, its plan, its order, and last the surgery that names the order."""
    whole = records.whole_eye()
    sent = decided.sent(whole)
    approval = decided.approval(whole, sent)
    order = decided.ordered(approval)
    lens = order["payload"]["body"]["lens"]  # type: ignore[index]
    surgery = surgeries.implanted(
        "R", lens, operated="2026-11-25", order=order["id"], approval=approval["id"], seq=9
    )
    return [*whole, sent, approval, order, surgery]


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


class TestFalls:
    """What lets a decision fall, each with the code that says so."""

    def stale(self, entries: list[Entry], *more: Entry, **reference: object) -> set[str]:
        """Return the codes for which a decision on these records falls once more records come."""
        made = decision(entries)
        eye = eye_of([*entries, made, *more], **reference)
        judged = next(one for one in eye["approvals"] if one["id"] == made["id"])
        if judged["stale"]:
            assert eye["state"] == "stale"
        return {one["code"] for one in judged["stale"]}

    def test_a_newer_reading_of_this_lens(self) -> None:
        """Whatever it is: the decision was made without it (I14, I22)."""
        entries = operated()
        for kind in ("vault", "pressure", "acuity"):
            newer = surgeries.found(kind, entries[-4], "R", taken="2026-11-30T08:00:00.000Z")
            assert self.stale(entries, newer) == {"evidence.added"}, kind

    def test_a_reading_of_this_lens_withdrawn(self) -> None:
        """A decision on a value that its author took back is none (I7)."""
        entries = operated()
        undo = decided.void(entries[-3])
        assert "evidence.removed" in self.stale(entries, undo)

    def test_a_reading_from_before_withdrawn(self) -> None:
        """The prediction stood on it."""
        entries = operated()
        assert "evidence.removed" in self.stale(entries, decided.void(entries[2]))

    def test_a_newer_reading_as_from_before(self) -> None:
        """It may be one that the decision should have known."""
        late = records.reading("reading.white_to_white", seq=8)
        assert "evidence.added" in self.stale(operated(), late)

    def test_a_corrected_surgery(self) -> None:
        """Another length on the label is another lens."""
        entries = operated()
        corrected = implanted(
            replaces=entries[-4]["id"], reason="length misread", seq=12,
            lens={**exchanges.LENS, "length_um": 12600},
        )  # fmt: skip
        assert "evidence.added" in self.stale(entries, corrected)

    def test_a_withdrawn_surgery(self) -> None:
        """There is no lens to decide about."""
        entries = operated()
        made = decision(entries)
        undo = decided.void(entries[-4], **{**SURGEON, "seq": 70})
        eye = eye_of([*entries, made, undo])
        judged = next(one for one in eye["approvals"] if one["id"] == made["id"])
        assert "evidence.removed" in {one["code"] for one in judged["stale"]}

    def test_a_newer_catalogue(self) -> None:
        """It was decided under another one (I12)."""
        entries = operated()
        newer = {**exchanges.reference()["catalogue"], "id": "f" * 64}
        assert self.stale(entries, catalogue=newer) == {"catalogue"}

    def test_a_newer_vault_model(self) -> None:
        """The expected vault rests on it."""
        model = {**exchanges.reference()["vault_models"][0], "id": "9" * 64}
        assert self.stale(operated(), vault_models=[model]) == {"vault_model"}

    def test_a_revoked_key(self) -> None:
        """It was in other hands when this was signed (I8)."""
        revoked = [{"key": "k2", "suspected_since": "2026-11-30T00:00:00.000Z", "id": "7" * 64}]
        assert self.stale(operated(), revoked_keys=revoked) == {"key_suspect"}

    def test_taken_back(self) -> None:
        """By its own surgeon (I13)."""
        entries = operated()
        made = decision(entries)
        back = decided.taken_back(made)
        eye = eye_of([*entries, made, back])
        assert eye["state"] == "followed"
        assert [one["live"] for one in eye["approvals"]] == [0]

    def test_by_whoever_measured(self) -> None:
        """Nobody decides on a vault that they measured (I3)."""
        surgery = implanted()
        entries = [*before(), surgery, *seen(surgery)]
        own = surgeries.found("pressure", surgery, "R", **SURGEON)
        assert self.stale([*entries, own]) == {"two_people"}

    def test_by_somebody_else_than_a_surgeon(self) -> None:
        """Only a surgeon decides (I3)."""
        entries = operated()
        made = decision(entries, "exchange", {**SURGEON, "role": "desk", "author": "u-fenn"})
        assert eye_of([*entries, made])["state"] == "stale"

    def test_of_the_other_eye(self) -> None:
        """What was signed is of the left eye (I16)."""
        entries = operated()
        shown = {**asked(entries)["shown"], "eye": "L"}
        made = exchanges.decided(asked(entries), shown=shown)
        eye = eye_of([*entries, made])
        assert "eye" in {one["code"] for one in eye["approvals"][0]["stale"]}

    def test_with_readings_of_another_lens(self) -> None:
        """A reading of the lens before it is none of this lens (I22)."""
        entries = operated()
        second = exchanged(entries[-4])
        vault = surgeries.found("vault", second, "R", vault_um=900, taken=LATER)
        whole = [*entries, second, vault]
        today = "2026-12-21"
        answer = asked(whole, today=today)
        assert answer["shown"]["followups"] == [vault["id"]]
        shown = {**answer["shown"], "followups": sorted([vault["id"], entries[-3]["id"]])}
        made = exchanges.decided(answer, shown=shown)
        eye = eye_of([*whole, made], today)
        judged = next(one for one in eye["approvals"] if one["id"] == made["id"])
        assert {one["code"] for one in judged["stale"]} == {"evidence.removed"}

    @pytest.mark.parametrize(
        ("field", "code"), [("acknowledged", "caution"), ("read_to_end", "read"),
                            ("digest", "digest")],
    )  # fmt: skip
    def test_incomplete(self, field: str, code: str) -> None:
        """A caution passed over, a page not read, nothing signed (I25)."""
        entries = operated()
        made = decision(entries, **{field: [] if field == "acknowledged" else 0})
        assert code in {one["code"] for one in eye_of([*entries, made])["approvals"][0]["stale"]}

    def test_a_stop_without_a_reason(self) -> None:
        """The refraction did not fit, and nobody wrote why all the same (I25)."""
        surgery = implanted()
        entries = [*before(), surgery, *seen(surgery, sphere_cD=200)]
        made = decision(entries, overrides=[])
        assert "stop" in {one["code"] for one in eye_of([*entries, made])["approvals"][0]["stale"]}


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


class TestOrdered:
    """The order of a decision, until its lens is in the eye."""

    def whole(self) -> list[Entry]:
        """Return the eye with decision and order, the order last."""
        entries = operated()
        made = decision(entries)
        return [*entries, made, ordered(made)]

    def test_states(self) -> None:
        """Ordered, confirmed, received as a first lens."""
        entries = self.whole()
        order = entries[-1]
        states = [eye_of(entries)["state"]]
        for record in (decided.confirmed(order), decided.received(order)):
            entries.append(record)
            states.append(eye_of(entries)["state"])
        assert states == ["ordered", "confirmed", "received"]

    def test_a_newer_reading_is_late(self) -> None:
        """The order stands at the supplier; a surgeon answers before the lens is released."""
        entries = self.whole()
        newer = surgeries.found("vault", entries[-6], "R", taken="2026-11-30T08:00:00.000Z")
        late = eye_of([*entries, newer])["late"]
        assert (late["next"], late["blocks"]) == ("answer", 1)
        assert [one["record"] for one in late["unanswered"]] == [newer["id"]]

    def test_decided_otherwise_too(self) -> None:
        """Another surgeon would watch it: the order is called in question."""
        entries = self.whole()
        other = decision(entries[:-2], "observe", OTHER_SURGEON)
        late = eye_of([*entries, other])["late"]
        assert [one["code"] for one in late["unanswered"]] == ["approved"]

    def test_its_cancellation_spends_the_decision(self) -> None:
        """It serves once (I2)."""
        entries = self.whole()
        eye = eye_of([*entries, decided.cancelled(entries[-1])])
        assert eye["state"] == "stale"
        assert [one["code"] for one in eye["approval"]["stale"]] == ["ordered"]

    def test_two_orders_contradict(self) -> None:
        """At most one stands for an eye, whichever cycle it is of (I2)."""
        entries = self.whole()
        assert eye_of([*entries, ordered(entries[-2], "SP-3")])["state"] == "conflict"

    def test_implanted(self) -> None:
        """The second cycle ends as the first did; the decision is done with."""
        entries = self.whole()
        second = exchanged(entries[-6], entries[-1])
        eye = eye_of([*entries, second], "2026-12-12")
        assert eye["state"] == "implanted"
        assert (eye["late"], eye["exchange"]["decisions"]) == (None, [])

    def test_a_third_cycle(self) -> None:
        """The new lens may be decided about again, by its own readings alone."""
        entries = self.whole()
        second = exchanged(entries[-6], entries[-1])
        found = [
            surgeries.found(kind, second, "R", taken=LATER, **more)
            for kind, more in (
                ("vault", {"vault_um": 120}), ("refraction", exchanges.FOUND),
                ("endothelial_count", {}),
            )
        ]  # fmt: skip
        whole = [*entries, second, *found]
        answer = asked(whole, today="2026-12-21")
        assert answer["implant"]["id"] == second["id"]
        assert answer["shown"]["followups"] == sorted(one["id"] for one in found)
        # Below the window: longer again than 12.10 mm.
        assert answer["recommended"]["length_um"] > 12100
        made = exchanges.decided(answer)
        assert eye_of([*whole, made], "2026-12-21")["state"] == "approved"

    def test_nothing_read_through_the_first_lens_is_of_the_natural_eye(self) -> None:
        """A refraction entered as from before, with the first lens in, changes nothing (E2)."""
        entries = operated()
        second = exchanged(entries[-4])
        vault = surgeries.found("vault", second, "R", vault_um=900, taken=LATER)
        late = records.reading("reading.refraction", "R", "2026-11-20T08:00:00.000Z", sphere_cD=0)
        answers = [
            asked(more, today="2026-12-21")["shown"]["inputs"]
            for more in ([*entries, second, vault], [*entries, late, second, vault])
        ]
        assert answers[0] == answers[1]

    def test_for_another_eye_than_it_was_decided_for(self) -> None:
        """D24: an order that names a decision of the other eye stops."""
        entries = self.whole()
        lens = {**exchanges.LENS, "length_um": 12350}
        body = {**entries[-1]["payload"]["body"], "lens": lens}  # type: ignore[index]
        wrong = records.record("order.placed", body, "R", **DESK)
        eye = eye_of([*entries[:-1], wrong])
        assert "D24.order_lens" in {one["code"] for one in eye["findings"]}


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


def test_a_loop_takes_nothing_out() -> None:
    """Two surgeries of one day that name each other, one by a correction, contradict."""
    entries = operated()
    first = entries[-4]
    second = exchanged(first, operated=exchanges.OPERATED)
    corrected = implanted(
        replaces=first["id"], reason="misread", explants=second["id"], seq=13,
    )  # fmt: skip
    assert eye_of([*entries, second, corrected])["state"] == "conflict"
