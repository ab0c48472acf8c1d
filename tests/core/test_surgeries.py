"""Surgeries in the fold: states, each finding with its own lens, and what the newest visit says."""

import itertools
import json
import random
from typing import Any

import pytest

from tests.core import decided, records
from tests.core.decided import approval, eye_of, ordered, sent, void
from tests.core.surgeries import AFTER_35_DAYS, LENS, found, implanted
from tests.core_runtime import Core

Entry = records.Entry


@pytest.fixture
def eye() -> list[Entry]:
    """Return a complete right eye, approved and ordered."""
    entries = records.whole_eye()
    request = sent(entries)
    approved = approval(entries, request)
    return [*entries, request, approved, ordered(approved)]


def codes(fold: dict[str, Any]) -> list[str]:
    """Return the codes of the findings after surgery."""
    return [one["code"] for one in fold["findings"] if one["cause"] == "after_surgery"]


class TestStates:
    """After the order: implanted, followed."""

    def test_implanted(self, eye: list[Entry]) -> None:
        """A surgery is further along than an order, and the case says what lies in the eye."""
        fold = eye_of([*eye, implanted("R")])
        assert fold["state"] == "implanted"
        assert fold["state_why"] == (
            "Implanted 20 Oct 2026: Model A-t \u221210.00 \u22122.50 \u00d715 D, 12.60 mm."
        )
        assert [one["text"] for one in fold["surgeries"]] == [
            "Model A-t \u221210.00 \u22122.50 \u00d715 D, 12.60 mm"
        ]

    def test_followed(self, eye: list[Entry]) -> None:
        """One finding after it makes it followed, with the day since surgery."""
        surgery = implanted("R")
        fold = eye_of([*eye, surgery, found("vault", surgery, "R")])
        assert fold["state"] == "followed"
        assert fold["state_why"].endswith("Last seen on day 35.")
        (one,) = fold["surgeries"]
        assert [(f["word"], f["text"], f["days"]) for f in one["followups"]] == [
            ("Vault", "500 \u00b5m in dim light", 35)
        ]

    def test_needs_no_order(self) -> None:
        """An eye operated on elsewhere has a surgery and no order."""
        assert eye_of([records.person(), implanted("R")])["state"] == "implanted"

    def test_two_surgeries_contradict(self, eye: list[Entry]) -> None:
        """Two phones that both record one are told, and neither is chosen."""
        fold = eye_of([*eye, implanted("R"), implanted("R", author="u-marsh", key="k3")])
        assert fold["state"] == "conflict"
        assert "E1.two_lenses" in codes(fold)

    def test_a_withdrawn_surgery_counts_for_nothing(self, eye: list[Entry]) -> None:
        """Its author takes it back; the eye is ordered again."""
        surgery = implanted("R")
        gone = void(surgery, **{**decided.SURGEON, "seq": 80})
        assert eye_of([*eye, surgery, gone])["state"] == "ordered"

    def test_no_late_evidence(self, eye: list[Entry]) -> None:
        """What is found after surgery is not evidence of the order."""
        surgery = implanted("R")
        everything = [found(kind.split(".")[1], surgery, "R") for kind in FOUND_KINDS]
        before, after = eye_of([*eye, surgery]), eye_of([*eye, surgery, *everything])
        assert after["evidence"] == before["evidence"]
        assert "decisions.late_evidence" not in [one["code"] for one in after["findings"]]


FOUND_KINDS = [
    "followup.vault", "followup.refraction", "followup.acuity", "followup.pressure",
    "followup.axis_seen", "followup.endothelial_count", "followup.angle", "followup.pupil",
    "followup.lens_clarity",
]  # fmt: skip


class TestWhoseFinding:
    """Each finding with the lens that it was found after (I22)."""

    def test_a_corrected_surgery_keeps_its_findings(self) -> None:
        """A serial put right makes no other surgery."""
        surgery = implanted("R")
        mended = implanted("R", serial="TI-70013", replaces=surgery["id"], reason="slip", seq=2)
        early, late = found("vault", surgery, "R"), found("pressure", mended, "R")
        (one,) = eye_of([records.person(), surgery, mended, early, late])["surgeries"]
        assert one["id"] == mended["id"]
        assert set(one["names"]) == {surgery["id"], mended["id"]}
        assert {f["id"] for f in one["followups"]} == {early["id"], late["id"]}

    def test_another_author_corrects_nothing(self) -> None:
        """A correction by somebody else stands beside it, as a contradiction."""
        surgery = implanted("R")
        other = implanted("R", author="u-marsh", key="k3", replaces=surgery["id"], reason="slip")
        assert eye_of([records.person(), surgery, other])["state"] == "conflict"

    def test_not_from_the_other_eye_or_another_surgery(self) -> None:
        """A vault that names no surgery of this eye belongs nowhere."""
        right, left = implanted("R"), implanted("L", serial="TI-2")
        stray = found("vault", left, "R")
        fold = eye_of([records.person(), right, left, stray])
        assert [one["followups"] for one in fold["surgeries"]] == [[]]

    @pytest.mark.parametrize(("taken", "counts"), [
        ("2026-10-18T23:59:00.000Z", False), ("2026-10-19T23:59:00.000Z", True),
    ])  # fmt: skip
    def test_nothing_from_before(self, taken: str, counts: bool) -> None:
        """A day's grace for places ahead of UTC, no more."""
        surgery = implanted("R")
        entries = [records.person(), surgery, found("vault", surgery, "R", taken)]
        (one,) = eye_of(entries)["surgeries"]
        assert bool(one["followups"]) is counts

    def test_any_order_and_twice(self, eye: list[Entry]) -> None:
        """The fold is the same in any order of arrival and with duplicates (I5, I6)."""
        surgery = implanted("R")
        mended = implanted("R", serial="TI-70013", replaces=surgery["id"], reason="slip", seq=2)
        vaults = [found("vault", surgery, "R", vault_um=300 + 10 * n, seq=n) for n in range(3)]
        gone = void(vaults[0], seq=99)
        everything = [*eye, surgery, mended, *vaults, gone]
        expected = eye_of(everything)
        shuffle = random.Random(7)  # noqa: S311 - which order it is does not matter
        for _ in range(20):
            mixed = [*everything, *everything[-4:]]
            shuffle.shuffle(mixed)
            assert eye_of(mixed) == expected

    def test_short_orders_all(self) -> None:
        """Every order of surgery, correction, finding and withdrawal gives one answer."""
        surgery = implanted("R")
        mended = implanted("R", serial="TI-9", replaces=surgery["id"], reason="slip", seq=2)
        vault = found("vault", surgery, "R")
        parts = [records.person(), surgery, mended, vault, void(vault, seq=99)]
        answers = [eye_of(list(order)) for order in itertools.permutations(parts)]
        assert all(one == answers[0] for one in answers)


def vault_codes(vault_um: int) -> list[str]:
    """Return the findings of one vault."""
    surgery = implanted("R")
    return codes(eye_of([records.person(), surgery,
                         found("vault", surgery, "R", vault_um=vault_um)]))  # fmt: skip


class TestBands:
    """Bands of vault: 250 to 750 from the literature, below 100 and above 1000 practice."""

    @pytest.mark.parametrize(("vault_um", "code"), [
        (0, "E1.vault_touch"), (99, "E1.vault_touch"), (100, "E1.vault_low"),
        (249, "E1.vault_low"), (250, None), (750, None), (751, "E1.vault_high"),
        (1000, "E1.vault_high"), (1001, "E1.vault_very_high"), (1300, "E1.vault_very_high"),
    ])  # fmt: skip
    def test_each_end(self, vault_um: int, code: str | None) -> None:
        """Both ends of each band."""
        assert vault_codes(vault_um) == ([code, "E4.beside"] if code else [])

    def test_says_what_to_do_and_who_comes_first(self) -> None:
        """An urgent vault says when, why, and what to do today."""
        surgery = implanted("R")
        entries = [records.person(), surgery, found("vault", surgery, "R", vault_um=60)]
        (one,) = [f for f in eye_of(entries)["findings"] if f["code"] == "E1.vault_touch"]
        assert one["level"] == "stop"
        assert one["text"].startswith("35 days after surgery the vault is 60 \u00b5m in dim light")
        assert "today" in one["do"]
        assert "lens maker\u2019s instructions" in one["do"]

    def test_only_the_newest_visit(self) -> None:
        """A low vault of the first week is history once it has risen."""
        surgery = implanted("R")
        first = found("vault", surgery, "R", "2026-10-22T08:00:00.000Z", vault_um=180)
        entries = [records.person(), surgery, first]
        assert codes(eye_of(entries)) == ["E1.vault_low", "E4.beside"]
        assert codes(eye_of([*entries, found("vault", surgery, "R")])) == []


class TestBesideExchange:
    """Options that a surgeon has beside another length; each figure from an abstract (module)."""

    def said(self, vault_um: int, cylinder_cD: int) -> str:  # noqa: N803 - unit in the name
        """Return the note about a vault, of a lens with or without cylinder."""
        axis_deg = 15 if cylinder_cD else None
        lens = {**LENS, "cylinder_cD": cylinder_cD, "axis_deg": axis_deg}
        surgery = implanted("R", lens)
        seen = found("vault", surgery, "R", vault_um=vault_um)
        findings = eye_of([records.person(), surgery, seen])["findings"]
        (one,) = [finding for finding in findings if finding["code"] == "E4.beside"]
        assert one["level"] == "note"
        assert one["records"] == [seen["id"]]
        return str(one["text"])

    def test_high_without_cylinder(self) -> None:
        """Turning takes about 110 um in the mean."""
        text = self.said(1300, 0)
        assert "towards the vertical, about 110 \u00b5m less vault" in text
        assert "no reason to operate" in text

    def test_high_with_cylinder(self) -> None:
        """A toric lens lies where its axis belongs: turning is named as no option."""
        text = self.said(1300, -250)
        assert "110" not in text
        assert "no option" in text

    @pytest.mark.parametrize("cylinder", [0, -250])
    def test_low(self, cylinder: int) -> None:
        """Nothing that takes more vault is said of a low one."""
        assert "vertical" not in self.said(60, cylinder)


class TestChanges:
    """What changed since before surgery; each limit is common practice, from no publication.

    Pressure by 5 mmHg or above 21, pupil by more than 1 mm, angle by two grades, cells by more than
    10 %, an axis by 10 degrees.
    """

    @pytest.mark.parametrize(("kind", "changed", "code"), [
        ("pressure", {"iop_dmmHg": 220}, "E1.pressure"),
        ("pressure", {"iop_dmmHg": 190}, "E1.pressure_rise"),
        ("pupil", {"diameter_um": 6610}, "E1.pupil"),
        ("angle", {"grade": 2}, "E1.angle"),
        ("endothelial_count", {"ecd_pmm2": 2600}, "E1.cells"),
        ("lens_clarity", {"clarity": "front_opacity"}, "E1.opacity"),
        ("axis_seen", {"seen_axis_deg": 5}, "E1.turned"),
        ("axis_seen", {"seen_axis_deg": 175}, "E1.turned"),
    ])  # fmt: skip
    def test_a_change(
        self, eye: list[Entry], kind: str, changed: dict[str, Any], code: str
    ) -> None:
        """Each beyond its limit gives its caution."""
        early = [self.before(one) for one in eye]
        surgery = implanted("R")
        assert code in codes(eye_of([*early, surgery, found(kind, surgery, "R", **changed)]))

    @pytest.mark.parametrize(("kind", "changed"), [
        ("pressure", {"iop_dmmHg": 180}), ("pupil", {"diameter_um": 6600}),
        ("angle", {"grade": 3}), ("endothelial_count", {"ecd_pmm2": 2610}),
        ("axis_seen", {"seen_axis_deg": 6}), ("axis_seen", {"seen_axis_deg": 24}),
        ("pupil", {"diameter_um": 8000, "light": "scotopic"}),
    ])  # fmt: skip
    def test_no_change(self, eye: list[Entry], kind: str, changed: dict[str, Any]) -> None:
        """Within the limit, or in another light than before, nothing is said."""
        early = [self.before(one) for one in eye]
        surgery = implanted("R")
        assert codes(eye_of([*early, surgery, found(kind, surgery, "R", **changed)])) == []

    def before(self, entry: Entry) -> Entry:
        """Return a record of the eye as taken before surgery."""
        payload: Any = entry["payload"]
        if "taken" not in payload["body"]:
            return entry
        body = {**payload["body"], "taken": "2026-10-01T08:00:00.000Z"}
        return records.record(payload["kind"], body, "R")


def test_both_pythons(core: Core) -> None:
    """The same fold of a followed eye in the browser's Python."""
    surgery = implanted("R")
    entries = [
        *records.whole_eye(), surgery,
        *[found(kind.split(".")[1], surgery, "R", AFTER_35_DAYS) for kind in FOUND_KINDS],
    ]  # fmt: skip
    answer = json.loads(core("door", "call", json.dumps(records.fold_request(entries)))["value"])
    assert answer["eyes"]["R"]["state"] == "followed"
    assert [f["text"] for f in answer["eyes"]["R"]["surgeries"][0]["followups"]] == [
        f["text"] for f in eye_of(entries)["surgeries"][0]["followups"]
    ]
    assert LENS["length_um"] == answer["eyes"]["R"]["surgeries"][0]["body"]["lens"]["length_um"]
