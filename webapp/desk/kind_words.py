"""Any record's body in words, by the closed list of kinds: label, value, unit, choice as shown."""

from collections.abc import Mapping
from typing import Any

from webapp.desk.moments import day, moment
from webapp.desk.numbers import fixed, signed
from webapp.records.kinds import KINDS, SHAPES, Field

# Said elsewhere in a row, or only there so that a slip can be traced.
LEFT_OUT = ("device", "taken", "typed")


def body_words(kind: str, body: Mapping[str, Any], leave_out: tuple[str, ...] = LEFT_OUT) -> str:
    """Return each answered field as "label value unit", in the list's order.

    A field that came later is absent from older records, which then means no answer.

    Raises:
        KeyError: the kind is not in the closed list.
    """
    fields = {name: one for name, one in KINDS[kind].fields.items() if name not in leave_out}
    return _fields_words(fields, body, "; ")


def _fields_words(fields: Mapping[str, Field], values: Mapping[str, Any], between: str) -> str:
    said = [name for name in fields if values.get(name) is not None]
    return between.join(
        f"{label(fields[name])} {value(fields[name], values[name])}" for name in said
    )


def label(field: Field) -> str:
    """Return a field's label as it stands before its value; a question keeps its mark."""
    text = str(field["label"])
    return text if text.endswith("?") else f"{text}:"


def value(field: Field, recorded: Any) -> str:  # noqa: ANN401 - whatever the field holds
    """Return one recorded value as shown: number in its unit, choice in its words, date."""
    if field["type"] == "int":
        shown = signed if field["signed"] else fixed
        text = shown(recorded, field["scale"], field["shown_decimals"])
        return f"{text} {field['unit']}".strip()
    if field["type"] == "choice":
        words: dict[str, str] = dict(field["choices"])
        return words[recorded]
    if field["type"] == "object":
        return _fields_words(SHAPES[field["shape"]].fields, recorded, ", ")
    if field["type"] == "list":
        return ", ".join(value(field["items"], one) for one in recorded)
    if field["type"] == "date":
        return day(recorded)
    return moment(recorded) if field["type"] == "instant" else str(recorded)
