"""A record in words: every value with its unit and what it was measured from, every kind named.

The expected texts are written down by hand from the numbers of the records.
"""

import json

import pytest

from tests.core import records
from webapp.bootstrap import ROOT
from webapp.core.describe import LENS_LINES, OPENINGS, line
from webapp.core.describe_values import WRITERS, value_text
from webapp.core.entry import entry_of

KINDS = json.loads((ROOT / "webapp" / "records" / "kinds.json").read_text(encoding="utf-8"))
MINUS, MICRO, TIMES = "\u2212", "\u00b5", "\u00d7"
LENS = {"implant": "a" * 64}
IN_MM = {"unit": "mm", "flat_cD": None, "steep_cD": None, "flat_radius_um": 7940,
         "steep_radius_um": 7580}  # fmt: skip
ANGLE = {"method": "gonioscopy", "grade": 2, "angle_deg": 15}
WARNED = {"is_cD": None, "map_grade": "not_given", "device_flag": "warning", "kmax_cD": 4735}


def value_of(kind: str, body: dict[str, object]) -> str:
    """Return a value in words."""
    if kind.startswith("reading."):
        return value_text(entry_of(records.reading(kind, **body)))
    return value_text(entry_of(records.record(kind, {**LENS, **body}, "R")))


@pytest.mark.parametrize(
    ("kind", "body", "text"),
    [
        ("reading.refraction", {}, f"{MINUS}9.00 {MINUS}2.50 {TIMES}15 D, vertex 12.0 mm"),
        ("reading.refraction", {"plane": "corneal", "vertex_um": None, "cylinder_cD": 0},
         f"{MINUS}9.00 D sphere at the cornea"),
        ("reading.refraction", {"vertex_um": None},
         f"{MINUS}9.00 {MINUS}2.50 {TIMES}15 D, vertex distance missing"),
        ("reading.acuity", {}, "0.02 logMAR"),
        ("reading.keratometry", {}, "42.50 / 44.50 D, steep at 100"),
        ("reading.keratometry", IN_MM, "7.94 / 7.58 mm, steep at 100"),
        ("reading.keratometry", {"steep_cD": None}, "incomplete, read in D"),
        ("reading.chamber_depth", {}, "3.05 mm from endothelium"),
        ("reading.chamber_depth", {"surface": "epithelium"}, "3.05 mm from epithelium"),
        ("reading.chamber_depth", {"surface": None}, "3.05 mm from a surface nobody named"),
        ("reading.corneal_thickness", {}, f"520 {MICRO}m"),
        ("reading.white_to_white", {}, "11.62 mm"),
        ("reading.sulcus_to_sulcus", {}, "12.10 mm"),
        ("reading.lens_rise", {"rise_um": -120}, f"{MINUS}0.12 mm over the angle recesses"),
        ("reading.pupil", {}, "5.60 mm in dim light"),
        ("reading.pressure", {"iop_dmmHg": 145}, "14.5 mmHg"),
        ("reading.endothelial_count", {}, "2900 cells/mm\u00b2"),
        ("reading.angle", ANGLE, "grade 2 of 4, 15 degrees"),
        ("reading.tomography", WARNED, "Kmax 47.35 D, the device warns"),
        ("followup.vault", {"vault_um": 517, "light": "mesopic"}, f"517 {MICRO}m in dim light"),
        ("followup.vault", {"vault_um": 430, "light": "photopic"}, f"430 {MICRO}m in bright light"),
        ("followup.acuity", {"logmar_c": -8, "correction": "uncorrected"},
         f"{MINUS}0.08 logMAR without glasses"),
        ("followup.acuity", {"logmar_c": 0, "correction": "best_corrected"},
         "0.00 logMAR best corrected"),
        ("followup.pressure", {"iop_dmmHg": 410}, "41 mmHg"),
        ("followup.axis_seen", {"seen_axis_deg": 92}, "92 degrees"),
        ("followup.angle", {**ANGLE, "grade": None}, "15 degrees"),
        ("followup.lens_clarity", {"clarity": "front_opacity"}, "clouded at its front"),
    ],
)  # fmt: skip
def test_a_value(kind: str, body: dict[str, object], text: str) -> None:
    """With its unit, and with what changes its meaning: plane, surface, light, correction."""
    assert value_of(kind, body) == text


def test_every_reading_has_words_of_its_own() -> None:
    """A reading without them would be a line without its value."""
    read = {kind for kind in KINDS["kinds"] if kind.startswith(("reading.", "followup."))}
    assert read - {"reading.unread"} == set(WRITERS)


def test_every_kind_of_a_case_is_named() -> None:
    """No history of a person shows a kind by its name in the records."""
    apart = ("reference", "site")
    of_a_person = {kind for kind, one in KINDS["kinds"].items() if one["subject"] not in apart}
    of_itself = {"reading.unread", "plan.approval", "late.answered"}
    named = {*WRITERS, *LENS_LINES, *OPENINGS, *of_itself}
    assert of_a_person == named


@pytest.mark.parametrize(
    ("entry", "text"),
    [
        (records.reading("reading.white_to_white"), "White-to-white 11.62 mm"),
        (records.reading("reading.white_to_white", replaces="b" * 64, reason="Read again"),
         "White-to-white 11.62 mm, corrected: Read again"),
        (records.record("late.answered", {"answer": "keep"}, "R", reason="Asked her"),
         "The order is kept after a change: Asked her"),
        (records.record("late.answered", {"answer": "plan_again"}, "R", reason="Asked her"),
         "The order is to be cancelled and the eye planned again: Asked her"),
        (records.record("urgent.answered", {"text": "Seen at six."}, "R"),
         "An urgent reading was answered: Seen at six."),
        (records.record("order.referenced", {"supplier_reference": "S-12"}, "R"),
         "Supplier's reference: S-12"),
        (records.record("record.void", {"target": "b" * 64}, "R", reason="Wrong eye"),
         "A record was withdrawn: Wrong eye"),
    ],
)  # fmt: skip
def test_a_line(entry: records.Entry, text: str) -> None:
    """One line for a history, with the reason or the text that the record carries."""
    assert line(entry_of(entry)) == text
