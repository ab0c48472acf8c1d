"""What lets a decision about the lens in an eye fall, each with the code that says so."""

import pytest

from tests.core import decided, exchanges, records, surgeries
from tests.core.decided import SURGEON
from tests.core.exchanges import before, implanted, operated, seen
from tests.core.records import Entry
from tests.core.second_cycle import LATER, asked, decision, exchanged, eye_of


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
