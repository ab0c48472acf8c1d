"""Record kinds: what ``webapp.records.kinds`` accepts and refuses, and in which words."""

import copy
from typing import Any

import pytest

from tests.records.vectors import Case, label, read
from webapp.records import canonical, kinds
from webapp.records.envelope import record_id
from webapp.records.errors import BadRecord
from webapp.records.kinds_rules import RULES
from webapp.records.kinds_values import is_unusual, parse_field, range_text, shown_text

VECTORS = read("kinds")
PAYLOADS = VECTORS["payloads"]
REFRACTION = kinds.KINDS["reading.refraction"].fields


def changed(case: Case) -> Case:
    """Return the good payload of the case's kind with the case's changes made to it."""
    payload = copy.deepcopy(PAYLOADS[case["kind"]])
    for path, value in case["set"].items():
        place, last = place_of(payload, path)
        place[last] = copy.deepcopy(value)
    for path in case.get("remove", []):
        place, last = place_of(payload, path)
        del place[last]
    return payload


def place_of(payload: Case, path: str) -> tuple[Any, Any]:
    """Return the object or list that holds the end of a path, and that end."""
    *outer, last = [int(step) if step.isdigit() else step for step in path.split(".")]
    place: Any = payload
    for step in outer:
        place = place[step]
    return place, last


class TestCheckPayload:
    """A payload is accepted whole, or refused with a field and a sentence."""

    @pytest.mark.parametrize("kind", PAYLOADS)
    def test_good_payload_and_its_id(self, kind: str) -> None:
        """Each kind has a good payload, with the id that was worked out apart from this code."""
        kinds.check_payload(PAYLOADS[kind])
        assert record_id(canonical.encode(PAYLOADS[kind])) == VECTORS["ids"][kind]

    def test_every_kind_has_a_good_payload(self) -> None:
        """No kind is without a vector, so none is untested."""
        assert set(PAYLOADS) == set(kinds.KINDS)

    @pytest.mark.parametrize("case", VECTORS["good"], ids=label)
    def test_good_changes(self, case: Case) -> None:
        """What is unusual but right is accepted."""
        kinds.check_payload(changed(case))

    @pytest.mark.parametrize("case", VECTORS["bad"], ids=label)
    def test_bad_changes(self, case: Case) -> None:
        """Each fault is refused at its field, in the words that were written for it."""
        with pytest.raises(BadRecord) as refusal:
            kinds.check_payload(changed(case))
        assert (refusal.value.field, refusal.value.message) == (case["field"], case["message"])

    @pytest.mark.parametrize("payload", [None, [], "text", 1, True])
    def test_only_objects(self, payload: object) -> None:
        """What is no object is refused by the declared error."""
        with pytest.raises(BadRecord):
            kinds.check_payload(payload)

    @pytest.mark.parametrize("kind", PAYLOADS)
    def test_each_field_alone_may_be_any_value(self, kind: str) -> None:
        """Any JSON value in any field is accepted or refused, and never raises another error."""
        for path in [*PAYLOADS[kind], *(f"body.{name}" for name in PAYLOADS[kind]["body"])]:
            for value in (None, True, 0, -1, 2**60, 0.5, "", "x", "\ud800", [], [[]], [None], {}):
                payload = changed({"kind": kind, "set": {path: value}})
                try:
                    kinds.check_payload(payload)
                except BadRecord as refusal:
                    assert refusal.message.endswith(".")

    def test_payload_is_not_changed(self) -> None:
        """Checking repairs nothing."""
        for payload in PAYLOADS.values():
            before = copy.deepcopy(payload)
            assert kinds.check_payload(payload) is payload
            assert payload == before


def lists_in(fields: dict[str, Case], body: Case, path: str) -> list[tuple[str, int]]:
    """Return path and most items of each list in a body, objects looked into."""
    found = []
    for name, field in fields.items():
        value = body.get(name)
        if field["type"] == "list":
            found.append((path + name, field["max_items"]))
        elif field["type"] == "object" and value is not None:
            inner = kinds.SHAPES[field["shape"]].fields
            found += lists_in(inner, value, f"{path}{name}.")
    return found


class TestHugeLists:
    """A list in a record is as long as its kind says, and what is in a longer one is not read."""

    @pytest.mark.parametrize("kind", PAYLOADS)
    def test_one_item_more_than_its_kind_allows(self, kind: str) -> None:
        """Refused at the list, in both languages: the JavaScript tests ask the same."""
        for path, most in lists_in(kinds.KINDS[kind].fields, PAYLOADS[kind]["body"], ""):
            for size in (most + 1, 100_000):
                with pytest.raises(BadRecord) as refusal:
                    kinds.check_payload(
                        changed({"kind": kind, "set": {f"body.{path}": [0] * size}})
                    )
                assert refusal.value.field == path
                assert f" to {most}." in refusal.value.message

    def test_every_list_map_and_text_has_an_end(self) -> None:
        """A model may have a thousand product numbers; a note is a page at most."""
        tables = [one.fields for one in (*kinds.KINDS.values(), *kinds.SHAPES.values())]
        fields = [field for table in tables for field in table.values()]
        fields += [field["items"] for field in fields if field["type"] == "list"]
        for field in fields:
            if field["type"] in ("list", "map"):
                assert 0 < field["max_items"] <= 1000, field
            if field["type"] == "text":
                assert 0 < field["max_chars"] <= 2000, field


class TestTable:
    """The table says what the hospital asked for, and every part of it is in use."""

    @pytest.mark.parametrize("name", VECTORS["ranges"])
    def test_ranges(self, name: str) -> None:
        """Each reading's limits, scale and unit are those of the specification."""
        kind, field_name = name.split()
        field = kinds.KINDS[kind].fields[field_name]
        limits = [field["min"], field["max"], field["scale"], field["unit"]]
        assert limits == VECTORS["ranges"][name]

    @pytest.mark.parametrize("name", VECTORS["ranges"])
    def test_ends_are_inside(self, name: str) -> None:
        """Both ends of a range are accepted; one step beyond either end is not."""
        kind, field_name = name.split()
        low, high, *_ = VECTORS["ranges"][name]
        step = kinds.KINDS[kind].fields[field_name]["step"]
        for value in (low, high):
            kinds.check_field(kind, field_name, value)
        for value in (low - step, high + step):
            with pytest.raises(BadRecord):
                kinds.check_field(kind, field_name, value)

    def test_rules_exist_and_are_used(self) -> None:
        """Each rule named in the table is written, and each written rule is named."""
        tables = [*kinds.KINDS.values(), *kinds.SHAPES.values()]
        assert {rule for table in tables for rule in table.rules} == set(RULES)

    def test_units_end_field_names(self) -> None:
        """A number with a unit carries it in its name, so that nobody has to look it up."""
        suffixes = {"D": ("_cD",), "mm": ("_um",), "µm": ("_um",), "°": ("_deg",)}
        for table in [*kinds.KINDS.values(), *kinds.SHAPES.values()]:
            for name, field in table.fields.items():
                if field["type"] == "int" and field["unit"] in suffixes:
                    assert name.endswith(suffixes[field["unit"]]), name

    def test_shown_decimals_hold_the_step(self) -> None:
        """What a step allows can be shown with the field's decimals, so nothing is cut."""
        for table in [*kinds.KINDS.values(), *kinds.SHAPES.values()]:
            for name, field in table.fields.items():
                if field["type"] == "int" and field["step"] > 1:
                    assert field["step"] * 10 ** field["shown_decimals"] % field["scale"] == 0, name

    def test_signers(self) -> None:
        """Readings and approvals are signed on devices only, orders by the desk's key only."""
        assert not kinds.may_sign("plan.approval", "desk")
        assert not kinds.may_sign("reading.refraction", "desk")
        assert not kinds.may_sign("order.placed", "device")
        assert kinds.may_sign("person.registered", "desk")
        assert kinds.may_sign("person.registered", "device")


class TestFields:
    """One field's number, as text and back."""

    @pytest.mark.parametrize(
        ("name", "text", "value"),
        [
            ("sphere_cD", "\u221212.25", -1225),
            ("sphere_cD", "+0.50", 50),
            ("sphere_cD", "0", 0),
            ("axis_deg", "0", 180),
            ("axis_deg", "180", 180),
            ("axis_deg", "7", 7),
            ("vertex_um", "12.0", 12000),
        ],
    )
    def test_parse_field(self, name: str, text: str, value: int) -> None:
        """Typed text becomes the recorded number; axis 0 is recorded as 180."""
        assert parse_field(name, REFRACTION[name], text) == value

    @pytest.mark.parametrize(
        ("name", "text", "words"),
        [
            ("sphere_cD", "12.25", "Say plus or minus"),
            ("sphere_cD", "-35.01", "from \u221235.00 to +20.00 D"),
            ("axis_deg", "181", "from 1 to 180°"),
            ("axis_deg", "-10", "from 1 to 180°"),
            ("axis_deg", "17.5", "smallest step is 1"),
            ("vertex_um", "12.25", "smallest step is 0.1"),
            ("vertex_um", "0", "from 8.0 to 18.0 mm"),
        ],
    )
    def test_parse_field_refuses(self, name: str, text: str, words: str) -> None:
        """A missing sign, a finer step and a value out of range are each named."""
        with pytest.raises(BadRecord, match=r"[.]$") as refusal:
            parse_field(name, REFRACTION[name], text)
        assert words in refusal.value.message

    def test_texts(self) -> None:
        """A value and a range are written with unit, true minus and plus."""
        assert shown_text(REFRACTION["sphere_cD"], -1225) == "\u221212.25 D"
        assert shown_text(REFRACTION["axis_deg"], 7) == "7°"
        assert range_text(REFRACTION["sphere_cD"]) == "Sphere goes from \u221235.00 to +20.00 D"

    def test_unusual(self) -> None:
        """The usual range has its ends inside; a field without one has nothing unusual."""
        field = kinds.KINDS["reading.white_to_white"].fields["diameter_um"]
        unusual = [is_unusual(field, value) for value in (10690, 10700, 12600, 12610)]
        assert unusual == [True, False, False, True]
        assert not is_unusual(REFRACTION["axis_deg"], 1)

    def test_check_field(self) -> None:
        """A missing answer is refused where it is required, and accepted where it is not."""
        with pytest.raises(BadRecord, match="still missing"):
            kinds.check_field("reading.refraction", "sphere_cD", None)
        kinds.check_field("reading.refraction", "axis_deg", None)

    def test_unusual_ranges_say_where_they_come_from(self) -> None:
        """Each usual range lies inside its field's range and names its source."""
        for kind in kinds.KINDS.values():
            for name, field in kind.fields.items():
                ends = [field[end] for end in ("unusual_min", "unusual_max") if end in field]
                assert all(field["min"] <= end <= field["max"] for end in ends), name
                assert bool(ends) == bool(field.get("unusual_from")), name
