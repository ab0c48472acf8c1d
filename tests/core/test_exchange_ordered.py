"""The order of a decision to exchange, until its lens is in the eye."""

from tests.core import decided, exchanges, records, surgeries
from tests.core.decided import DESK, OTHER_SURGEON
from tests.core.exchanges import operated
from tests.core.records import Entry
from tests.core.second_cycle import LATER, asked, decision, exchanged, eye_of, removed


class TestOrdered:
    """The order of a decision, until its lens is in the eye."""

    def whole(self) -> list[Entry]:
        """Return the eye with decision and order, the order last."""
        entries = operated()
        made = decision(entries)
        return [*entries, made, decided.ordered(made)]

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

    def test_its_lens_taken_out_without_it_is_late(self) -> None:
        """A surgeon answers for the lens that was to come in its place, and for what was read."""
        entries = self.whole()
        newer = surgeries.found("vault", entries[-6], "R", taken="2026-11-30T08:00:00.000Z")
        out = removed(entries[-6], "2026-12-01")
        late = eye_of([*entries, newer, out])["late"]
        assert (late["next"], late["blocks"]) == ("answer", 1)
        named = {(one["code"], one["record"]) for one in late["unanswered"]}
        assert named == {("taken_out", out["id"]), ("evidence.added", newer["id"])}

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
        assert eye_of([*entries, decided.ordered(entries[-2], "SP-3")])["state"] == "conflict"

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
