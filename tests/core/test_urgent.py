"""What cannot wait after surgery, until somebody answered: each threshold from both sides (H37).

Thresholds: touch below 100 um and very high above 1000 um are the outer bands of SCIENCE E1; the
pressure from which it is urgent (30 mmHg) and what counts as closed are common practice.
"""

import json
from typing import Any

import pytest

from tests.core import records
from tests.core.decided import DESK, SURGEON, eye_of, void
from tests.core.surgeries import found, implanted
from tests.core_runtime import Core

Entry = records.Entry
DAY_40 = "2026-11-29T08:00:00.000Z"
DAY_70 = "2026-12-29T08:00:00.000Z"


@pytest.fixture
def surgery() -> Entry:
    """Return the surgery of the right eye."""
    return implanted("R")


def urgent(*entries: Entry, **more: object) -> list[dict[str, Any]]:
    """Return what is urgent in the right eye."""
    answer: list[dict[str, Any]] = eye_of([records.person(), *entries], **more)["urgent"]
    return answer


def told(surgery: Entry, *readings: Entry, **given: Any) -> Entry:  # noqa: ANN401
    """Return that the surgeon was told by phone."""
    body = {
        "implant": surgery["id"], "readings": sorted(str(one["id"]) for one in readings),
        "whom": "Dr S. Verrill", "how": "phone", "text": "Drops, boat tonight.",
    }  # fmt: skip
    return records.record("urgent.told", body, given.pop("eye", "R"), seq=90, **given)


def answered(surgery: Entry, *readings: Entry, eye: str = "R") -> Entry:
    """Return that the desk answered."""
    body = {
        "implant": surgery["id"], "readings": sorted(str(one["id"]) for one in readings),
        "text": "Seen the same evening.",
    }  # fmt: skip
    return records.record("urgent.answered", body, eye, **DESK)


class TestThresholds:
    """What is urgent, and what is not."""

    @pytest.mark.parametrize(
        ("kind", "changed", "code"),
        [
            ("vault", {"vault_um": 0}, "touch"),
            ("vault", {"vault_um": 99}, "touch"),
            ("vault", {"vault_um": 100}, None),
            ("vault", {"vault_um": 1400}, None),
            ("pressure", {"iop_dmmHg": 290}, None),
            ("pressure", {"iop_dmmHg": 300}, "pressure"),
            ("pressure", {"iop_dmmHg": 520}, "pressure"),
            ("angle", {"grade": 0}, None),
        ],
    )
    def test_one_reading(
        self, surgery: Entry, kind: str, changed: dict[str, object], code: str | None
    ) -> None:
        """Touch and pressure by themselves; vault and angle only together."""
        items = urgent(surgery, found(kind, surgery, "R", **changed))
        assert [one["code"] for one in items] == ([] if code is None else [code])

    @pytest.mark.parametrize(
        ("vault_um", "angle", "codes"),
        [
            (1001, {"grade": 1}, ["closed"]),
            (1001, {"grade": 2}, []),
            (1000, {"grade": 0}, []),
            (1001, {"grade": None, "angle_deg": 10, "method": "spur_angle"}, ["closed"]),
            (1001, {"grade": None, "angle_deg": 11, "method": "spur_angle"}, []),
        ],
    )
    def test_very_high_and_closed(
        self, surgery: Entry, vault_um: int, angle: dict[str, object], codes: list[str]
    ) -> None:
        """Both have to be there."""
        vault = found("vault", surgery, "R", vault_um=vault_um)
        items = urgent(surgery, vault, found("angle", surgery, "R", seq=22, **angle))
        assert [one["code"] for one in items] == codes
        assert [one["reading"] for one in items] == [vault["id"]] * len(codes)

    @pytest.mark.parametrize(("taken", "count"), [(DAY_40, 1), (DAY_70, 0)])
    def test_an_angle_of_another_time(self, surgery: Entry, taken: str, count: int) -> None:
        """Day 35 and day 40 belong together; day 70 is another visit."""
        vault = found("vault", surgery, "R", vault_um=1300)
        angle = found("angle", surgery, "R", taken, seq=22, grade=0)
        assert len(urgent(surgery, vault, angle, today="2027-01-02")) == count

    def test_another_eye_or_lens(self, surgery: Entry) -> None:
        """A closed angle of the other eye says nothing of this one (I22)."""
        other = implanted("L", serial="TI-2")
        vault = found("vault", surgery, "R", vault_um=1300)
        assert urgent(surgery, other, vault, found("angle", other, "L", grade=0)) == []

    def test_the_centre_decides(self, surgery: Entry) -> None:
        """The limits are the centre's."""
        limits = {"urgent_pressure_dmmHg": 250}
        adopted = {"id": "c" * 64, "body": {"title": "Ours", "values": limits}}
        pressure = found("pressure", surgery, "R", iop_dmmHg=250)
        reference = {**records.REFERENCE, "limits": adopted}
        assert len(urgent(surgery, pressure, reference=reference)) == 1
        assert urgent(surgery, pressure) == []


class TestUntilAnswered:
    """Nothing quiets it but an answer, or that the value was never so."""

    def test_a_good_value_later_does_not(self, surgery: Entry) -> None:
        """Somebody saw 34 mmHg and told nobody: that stays."""
        bad = found("pressure", surgery, "R", iop_dmmHg=340)
        good = found("pressure", surgery, "R", DAY_40, seq=22, iop_dmmHg=150)
        (one,) = urgent(surgery, bad, good)
        assert (one["open"], one["silent"], one["values"]) == (1, 1, ["34 mmHg"])

    def test_told(self, surgery: Entry) -> None:
        """Somebody knows: no longer silent, still open."""
        bad = found("pressure", surgery, "R", iop_dmmHg=340)
        (one,) = urgent(surgery, bad, told(surgery, bad))
        assert (one["open"], one["silent"]) == (1, 0)
        assert [said["whom"] for said in one["told"]] == ["Dr S. Verrill"]

    def test_at_the_base(self, surgery: Entry) -> None:
        """The base has it: no longer silent, still open."""
        bad = {**found("pressure", surgery, "R", iop_dmmHg=340), "received": 12}
        (one,) = urgent(surgery, bad)
        assert (one["open"], one["silent"], one["at_base"]) == (1, 0, 1)

    def test_answered(self, surgery: Entry) -> None:
        """Somebody answered: closed, and listed with the answer."""
        bad = found("pressure", surgery, "R", iop_dmmHg=340)
        (one,) = urgent(surgery, bad, answered(surgery, bad))
        assert (one["open"], one["silent"]) == (0, 0)
        assert one["answered"][0]["text"] == "Seen the same evening."

    def test_of_another_reading(self, surgery: Entry) -> None:
        """What was said of one reading quiets no other."""
        bad = found("pressure", surgery, "R", iop_dmmHg=340)
        worse = found("vault", surgery, "R", seq=23, vault_um=40)
        items = urgent(surgery, bad, worse, answered(surgery, bad), told(surgery, bad))
        assert sorted((one["code"], one["open"], one["silent"]) for one in items) == [
            ("pressure", 0, 0), ("touch", 1, 1),
        ]  # fmt: skip

    def test_of_the_other_eye(self, surgery: Entry) -> None:
        """An answer that names this reading in the other eye's name is none."""
        bad = found("pressure", surgery, "R", iop_dmmHg=340)
        (one,) = urgent(surgery, bad, answered(surgery, bad, eye="L"), told(surgery, bad, eye="L"))
        assert (one["open"], one["silent"]) == (1, 1)

    def test_withdrawn_answer(self, surgery: Entry) -> None:
        """What was said in error is taken back, and the alarm is there again."""
        bad = found("pressure", surgery, "R", iop_dmmHg=340)
        said = told(surgery, bad)
        (one,) = urgent(surgery, bad, said, void(said))
        assert one["silent"] == 1

    @pytest.mark.parametrize(
        ("since", "quiet"),
        [("2026-11-01T00:00:00.000Z", 0), ("2026-12-31T00:00:00.000Z", 1)],
        ids=["in other hands", "lost later"],
    )
    def test_a_key_in_other_hands(self, surgery: Entry, since: str, quiet: int) -> None:
        """Whoever holds a stolen phone tells nobody and answers nothing."""
        bad = found("pressure", surgery, "R", iop_dmmHg=340)
        for said, field in ((told(surgery, bad), "silent"), (answered(surgery, bad), "open")):
            stolen = {"id": "a" * 64, "key": said["payload"]["key"], "suspected_since": since}  # type: ignore[index]
            there = {**records.REFERENCE, "revoked_keys": [stolen]}
            (one,) = urgent(surgery, bad, said, reference=there)
            assert one[field] == 1 - quiet

    def test_corrected_reading(self, surgery: Entry) -> None:
        """A slip of the finger that its author put right is urgent no more; a right one is anew."""
        bad = found("pressure", surgery, "R", iop_dmmHg=340)
        for value, count in ((140, 0), (330, 1)):
            mended = found("pressure", surgery, "R", seq=24, iop_dmmHg=value,
                           replaces=bad["id"], reason="typed wrongly")  # fmt: skip
            items = urgent(surgery, bad, mended, told(surgery, bad))
            assert [one["silent"] for one in items] == [1] * count


def test_it_says_what_to_do(surgery: Entry) -> None:
    """Three steps, the voice call among them, and whose rules come first."""
    (one,) = urgent(surgery, found("vault", surgery, "R", vault_um=0))
    assert len(one["steps"]) == 3
    assert "by voice" in one["steps"][1]
    assert "protocol" in one["first"]


def test_both_pythons_agree(core: Core) -> None:
    """Phone and base see the same urgency (I23)."""
    surgery = implanted("R")
    bad = found("pressure", surgery, "R", iop_dmmHg=340)
    asked = records.fold_request([records.person(), surgery, bad, told(surgery, bad)])
    (text,) = core("door", "call", json.dumps(asked)).values()
    (one,) = json.loads(text)["eyes"]["R"]["urgent"]
    assert (one["code"], one["silent"], one["open"]) == ("pressure", 0, 1)


def test_signed_by_the_surgeon(surgery: Entry) -> None:
    """A surgeon who looks at it answers from a phone as well."""
    bad = found("pressure", surgery, "R", iop_dmmHg=340)
    body = {"implant": surgery["id"], "readings": [bad["id"]], "text": "I see her at six."}
    (one,) = urgent(surgery, bad, records.record("urgent.answered", body, "R", **SURGEON))
    assert one["open"] == 0
