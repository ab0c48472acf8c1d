"""The middle of the order sheet: every input the surgeon saw, one line each."""

from collections.abc import Mapping
from typing import Any

from webapp.desk.kind_words import body_words
from webapp.desk.moments import parsed
from webapp.desk.numbers import short_hash
from webapp.desk.readings import TITLES, instrument, value_of
from webapp.desk.sheet_paper import Paper, table
from webapp.records.kinds import KINDS

# Stands at the head of the sheet already, or is nobody’s business at the supplier.
SAID_ABOVE = ("name", "camp_code", "birth_date", "birth_year", "phone", "other", "compared")
Content = Mapping[str, Any]


def records(paper: Paper, content: Content) -> None:
    """Write every input: value, unit, plane or method, instrument, who, when, signing device."""
    paper.heading("Every input the surgeon saw")
    numbers = _device_numbers(content)
    rows = [(*_record_row(record), numbers[record["key"]][0]) for record in content["records"]]
    head = ("Quantity", "Value", "Where, with what", "Who", "Signed, UTC", "Received", "On")
    table(paper, (27, 31, 52, 20, 25, 25, 6), head, rows)
    paper.say("Signed on: " + "; ".join(" ".join(one) for one in numbers.values()), 7.2, soft=True)


def _device_numbers(content: Content) -> dict[str, tuple[str, str]]:
    """Return key -> a number for the column, and what that device is called."""
    labels = {record["key"]: record["signed_on"] for record in content["records"]}
    return {
        key: (str(place), f"{label or 'device'} (key {short_hash(key)})")
        for place, (key, label) in enumerate(labels.items(), start=1)
    }


def _record_row(record: Content) -> tuple[str, ...]:
    """Return one input as a row of texts."""
    kind, body = record["kind"], record["body"]
    signed = (
        str(record["author_name"]),
        _minute(record["signed_at"]),
        _minute(record["received_at"]),
    )
    if kind not in TITLES:
        return (KINDS[kind].title, "as answered", body_words(kind, body, SAID_ABOVE), *signed)
    value = value_of(kind, body)
    where = ", ".join(part for part in (value.where, instrument(body)) if part)
    return (TITLES[kind], f"{value.text} {value.unit}".strip(), where, *signed)


def _minute(instant: str | None) -> str:
    """Return an instant as ``2026-11-25 04:45``, short enough for a column."""
    return f"{parsed(instant):%Y-%m-%d %H:%M}" if instant else "not yet"
