"""A box in theatre beside the released label, through the door: what agrees, what stops.

Every expected outcome follows from invariants I16 and I19 and hazards H29 to H31, H34 and H35.
"""

import json
from typing import Any

import pytest

from tests.core import records
from tests.core.decided import SURGEON, cancelled, ordered, void
from tests.core.surgeries import implanted
from tests.core.theatre import (
    APPROVAL,
    ARRIVED,
    DAY,
    GS,
    GTIN,
    LENS,
    ORDER,
    SCAN,
    TRACE,
    box_check,
    ended,
    listed,
)
from tests.core_runtime import Core

Entry = records.Entry
BOX = box_check()
READY = [*ARRIVED, BOX]
READ = {
    "order": ORDER["id"], "days": [DAY], "eye_said": "R", "code": SCAN, "trace": None,
    "second_trace": None, "printed_same": 1, "incision_meridian_deg": None,
}  # fmt: skip


def asked(core: Core, entries: list[Entry] = READY, **changed: object) -> dict[str, Any]:
    """Return the door's answer about the right eye in theatre, parts of what was read changed."""
    request = {
        "do": "theatre", "entries": entries, "reference": records.REFERENCE, "eye": "R",
        "today": DAY, "core": records.CORE, **READ, **changed,
    }  # fmt: skip
    answer: dict[str, Any] = json.loads(core("door", "call", json.dumps(request))["value"])
    return answer


def verdicts(answer: dict[str, Any]) -> dict[str, tuple[str, str]]:
    """Return outcome and code of each row that does not agree."""
    return {
        row["field"]: (row["outcome"], row["why"])
        for row in answer["box"]["rows"]
        if row["outcome"] != "agrees"
    }


def test_the_released_box(core: Core) -> None:
    """Scanned, the eye as marked, the print as shown: each row agrees, and nothing stops."""
    answer = asked(core)
    assert (answer["outcome"], answer["stops"], verdicts(answer)) == ("agrees", [], {})
    assert answer["box"]["second_reads"] == []
    assert [row["field"] for row in answer["box"]["rows"]] == [
        "eye", *TRACE, "gtin", *LENS, "printed_same",
    ]  # fmt: skip
    assert answer["lens"]["read_back"].startswith("Right eye: sphere minus")


def test_before_anything_was_read(core: Core) -> None:
    """Nothing agrees by not having been looked at."""
    nothing = {name: None for name in READ if name not in ("order", "days")}
    answer = asked(core, **nothing)
    assert answer["outcome"] == "cannot_tell"
    assert verdicts(answer) == {
        "eye": ("cannot_tell", "not_read"),
        "printed_same": ("cannot_tell", "not_read"),
        **dict.fromkeys(TRACE, ("cannot_tell", "one_reading")),
    }


@pytest.mark.parametrize(
    ("changed", "field", "why"),
    [
        ({"eye_said": "L"}, "eye", "other_eye"),
        ({"printed_same": 0}, "printed_same", "not_shown"),
        ({"code": SCAN.replace("SER9", "SER8")}, "serial", "not_released"),
        ({"code": SCAN.replace("LOT7", "LOT1")}, "lot", "not_released"),
        ({"code": SCAN.replace("310228", "310227")}, "expiry_date", "not_released"),
        ({"code": SCAN.replace(GTIN, "00012345678905")}, "gtin", "not_released"),
        ({"trace": {**TRACE, "serial": "SER8"}}, "serial", "readings_differ"),
        ({"days": ["2031-03-01"]}, "expiry_date", "expired"),
        ({"days": [DAY, "2031-03-01"]}, "expiry_date", "expired"),
    ],
)
def test_a_difference_stops(core: Core, changed: dict[str, Any], field: str, why: str) -> None:
    """H29, H31: another eye, lens, product or print, or a day past by either clock."""
    answer = asked(core, **changed)
    assert answer["outcome"] == "differs"
    assert verdicts(answer) == {field: ("differs", why)}


class TestWithoutAScan:
    """What no reader gave, two people read, the second without having seen the first."""

    @pytest.mark.parametrize("code", [None, f"01{GTIN}1731022821SER9"])
    def test_one_person_is_not_enough(self, core: Core, code: str | None) -> None:
        """Neither reading alone nor a code that was typed."""
        once = asked(core, code=code, trace=TRACE)
        assert (once["outcome"], once["box"]["second_reads"]) == ("cannot_tell", list(TRACE))
        assert asked(core, code=code, trace=TRACE, second_trace=TRACE)["outcome"] == "agrees"

    def test_a_code_that_was_typed_is_none(self, core: Core) -> None:
        """With its symbology and separator too: where it came from decides."""
        assert asked(core, code_by="reader")["outcome"] == "agrees"
        answer = asked(core, code_by="keys")
        assert (answer["outcome"], answer["box"]["second_reads"]) == ("cannot_tell", list(TRACE))

    def test_letter_case_and_spaces_make_no_other_box(self, core: Core) -> None:
        """What is typed in theatre is compared as serial numbers are everywhere."""
        typed = {**TRACE, "serial": "ser 9", "lot": "lot7"}
        assert asked(core, code=None, trace=typed, second_trace=TRACE)["outcome"] == "agrees"

    def test_two_people_who_read_differently(self, core: Core) -> None:
        """One of them is wrong, and nobody knows which."""
        other = {**TRACE, "lot": "LOT1"}
        answer = asked(core, code=None, trace=TRACE, second_trace=other)
        assert verdicts(answer) == {"lot": ("differs", "readings_differ")}

    def test_a_code_without_a_lot(self, core: Core) -> None:
        """H34, H35: what the code does not say is read by two, the rest was scanned."""
        code = f"]d201{GTIN}1731022821SER9"
        answer = asked(core, code=code)
        assert verdicts(answer) == {"lot": ("cannot_tell", "one_reading")}
        lot = {"lot": "LOT7", "serial": None, "expiry_date": None}
        assert asked(core, code=code, trace=lot, second_trace=lot)["outcome"] == "agrees"

    def test_a_lost_separator(self, core: Core) -> None:
        """A serial number that swallowed the lot is another one than was released."""
        answer = asked(core, code=f"]d201{GTIN}1731022821SER910LOT7")
        assert verdicts(answer)["serial"] == ("differs", "not_released")


@pytest.mark.parametrize(
    ("entries", "changed", "code"),
    [
        (ARRIVED, {}, "theatre.not_ready"),
        ([*READY, cancelled(ORDER)], {}, "theatre.no_order"),
        ([*READY, ended()], {}, "theatre.stopped"),
        ([*READY, box_check(outcome="differs", serial="X1")], {}, "box.differs"),
        (READY, {"order": "f" * 64}, "theatre.other_order"),
        ([*READY, ordered(APPROVAL, "SP-2")], {}, "theatre.no_order"),
        ([*READY, records.reading("reading.white_to_white", diameter_um=12400, seq=33)], {},
         "decisions.late_evidence"),
    ],
    ids=["no box", "cancelled", "stopped", "a box that differs", "another order", "two orders",
         "late evidence"],
)  # fmt: skip
def test_what_stops_before_the_box(
    core: Core, entries: list[Entry], changed: dict[str, Any], code: str
) -> None:
    """H30: the outcome is a stop however well the box agrees, and each stop says what to do."""
    answer = asked(core, entries, **changed)
    assert answer["outcome"] == "stop"
    assert code in [one["code"] for one in answer["stops"]]
    assert all(one["do"] and one["title"] and one["text"] for one in answer["stops"])


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"code": "]d20109506000134353"}, "code"),
        ({"code": 5}, "code"),
        ({"trace": {"lot": "L"}}, "trace"),
        ({"second_trace": {**TRACE, "serial": ""}}, "second_trace.serial"),
        ({"trace": {**TRACE, "expiry_date": "soon"}}, "date"),
        ({"eye_said": "both"}, "eye"),
        ({"printed_same": True}, "printed_same"),
        ({"days": []}, "days"),
        ({"eye": "both"}, "eye"),
        ({"incision_meridian_deg": 181}, "incision_meridian_deg"),
    ],
)
def test_what_is_no_reading_is_refused(core: Core, changed: dict[str, Any], field: str) -> None:
    """Nothing is guessed from a damaged request."""
    assert asked(core, **changed)["error"]["field"] == field


def test_the_cautions_and_how_the_lens_lies(core: Core) -> None:
    """H32, H33: said for every lens; the axis for a toric one, for both seats."""
    answer = asked(core, incision_meridian_deg=180)
    codes = [one["code"] for one in answer["cautions"]]
    assert codes == ["marks", "turned", "rescan", "upright", "incision", "washed"]
    assert "never turned over inside the eye" in answer["cautions"][1]["text"]
    assert [one["seat"] for one in answer["views"]] == ["head", "side"]
    assert answer["views"][0]["incision"] is not None
    assert "instructions" in answer["first"]


def test_a_recorded_check_alone(core: Core) -> None:
    """The server computes a record again from order and label, with the same rows."""
    read = {"eye": "R", **{name: READ[name] for name in ("code", "trace", "second_trace")}}
    request = {
        "do": "theatre_box", "lens": LENS, "eye": "R", "days": [DAY],
        "label": BOX["payload"]["body"], "read": {**read, "printed_same": 1},  # type: ignore[index]
    }  # fmt: skip
    answer = json.loads(core("door", "call", json.dumps(request))["value"])
    assert answer == asked(core)["box"]
    assert GS in SCAN


def test_a_sheet_of_paper_is_told_from_an_old_one(core: Core) -> None:
    """H45: what the code of a sheet rests on is compared with what stands now."""
    day = listed()
    code = f"lampside-theatre/1:{ORDER['id']}:{day['id']}:{BOX['id']}"
    entries = [*READY, day]
    assert asked(core, entries)["sheet"] is None
    assert asked(core, entries, sheet=code)["sheet"]["current"] == 1
    moved = listed("2026-11-27", replaces=day["id"], reason="Moved")
    for more in ([moved], [ended()], [cancelled(ORDER)]):
        assert asked(core, [*entries, *more], sheet=code)["sheet"]["current"] == 0
    other = code.replace(str(ORDER["id"]), "e" * 64)
    assert "another eye or person" in asked(core, entries, sheet=other)["sheet"]["text"]
    digest = f"lampside-order/1:{records.DIGEST}:{ORDER['id']}"
    assert asked(core, entries, sheet=digest)["sheet"]["current"] == 1
    assert asked(core, entries, sheet=digest.replace("d", "e"))["sheet"]["current"] == 0


class TestProductNumber:
    """Where the base read no code, theatre looks the number up; GS1's worked check digits."""

    NUMBERS = (
        {"model": "Model A-t", "gtins": [GTIN]},
        {"model": "Model A-s", "gtins": ["01234567890128"]},
    )
    UNREAD = box_check(gtin=None)

    def row(self, core: Core, gtin: str, catalogue: str) -> dict[str, Any] | None:
        """Return the row of the number, the lists being those of one catalogue."""
        numbers = {catalogue: list(self.NUMBERS), "c" * 64: [{"model": "Model B", "gtins": [gtin]}]}
        answer = asked(
            core, [*ARRIVED, self.UNREAD], code=SCAN.replace(GTIN, gtin),
            reference={**records.REFERENCE, "products": numbers},
        )  # fmt: skip
        found: list[dict[str, Any]] = answer["box"]["rows"]
        return next((one for one in found if one["field"] == "gtin"), None)

    @pytest.mark.parametrize(
        ("gtin", "outcome", "why"),
        [
            (GTIN, "agrees", ""),
            ("01234567890128", "differs", "other_model"),
            ("06291041500213", "agrees", "unknown_number"),
        ],
    )
    def test_of_the_catalogue_that_the_approval_names(
        self, core: Core, gtin: str, outcome: str, why: str
    ) -> None:
        """Whatever another catalogue lists under that number."""
        row = self.row(core, gtin, "a" * 64)
        assert row is not None and (row["outcome"], row["why"]) == (outcome, why)

    def test_of_no_other_catalogue(self, core: Core) -> None:
        """A list that came later says nothing of this order."""
        assert self.row(core, "01234567890128", "e" * 64) is None


class TestElsewhere:
    """I20, by what the device holds: a lens that lies in another eye goes into no second one."""

    def test_in_an_eye_of_another_person(self, core: Core) -> None:
        """Letter case and spaces make no other lens; a stop, whatever the box says."""
        answer = asked(core, others=[of_another(implanted("R", serial="ser 9"))])
        assert answer["outcome"] == "stop"
        assert [one["code"] for one in answer["stops"]] == ["theatre.serial"]
        assert "20 Oct 2026, right eye of another person" in answer["stops"][0]["text"]

    def test_in_the_other_eye_of_the_same_person(self, core: Core) -> None:
        """Nothing but this person's own records is needed."""
        stops = asked(core, [*READY, implanted("L", serial="SER9")])["stops"]
        assert [one["code"] for one in stops] == ["theatre.serial"]
        assert "left eye of the same person" in stops[0]["text"]

    def test_another_serial_or_none(self, core: Core) -> None:
        """Neither is this lens."""
        for serial in ("SER8", None):
            others = [of_another(implanted("R", serial=serial))]
            assert asked(core, others=others)["outcome"] == "agrees"

    def test_not_once_that_record_was_withdrawn(self, core: Core) -> None:
        """A serial number that was misread is free again, in either order of arrival."""
        done = of_another(implanted("R", serial="SER9"))
        gone = of_another(void(done, **SURGEON))
        for others in ([done, gone], [gone, done]):
            assert asked(core, others=others)["outcome"] == "agrees"

    def test_what_is_no_list_is_refused(self, core: Core) -> None:
        """Records of others are records."""
        assert asked(core, others=5)["error"]["field"] == "entries"


def of_another(record: Entry) -> Entry:
    """Return a record as one of another person."""
    payload: dict[str, Any] = record["payload"]  # type: ignore[assignment]
    return {**record, "payload": {**payload, "person": "01933a2b-7c00-7000-8000-0000000000ff"}}
