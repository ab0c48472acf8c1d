"""PROTOCOL.md and FIELDS.md say what the code does, and no more than a person can read."""

import hashlib
import re

from tests.records import protocol_tables
from tests.records.vectors import read
from webapp.records import canonical, signing
from webapp.records.kinds import HEADER, KINDS, SHAPES
from webapp.records.kinds_rules import RULES

TEXT = protocol_tables.PROTOCOL.read_text("utf-8")
FIELDS = protocol_tables.FIELDS.read_text("utf-8")


def test_tables_are_those_of_the_kinds() -> None:
    """The tables are made from the kinds; ``python -m tests.records.protocol_tables`` does it."""
    begin, end = protocol_tables.BEGIN, protocol_tables.END
    assert f"{begin}{protocol_tables.tables()}\n{end}" in TEXT
    assert f"{begin}{protocol_tables.field_tables()}\n{end}" in FIELDS


def test_every_kind_and_field_is_named() -> None:
    """Each key, kind, field, shape and rule stands in the documents by its own name."""
    named = set(re.findall(r"`([^`\s]+)`", TEXT + FIELDS))
    owners = [*KINDS.values(), *SHAPES.values()]
    fields = {name for owner in owners for name in owner.fields}
    assert {*HEADER, *KINDS, *SHAPES, *fields, *RULES} - named == set()


def test_every_field_row_is_there() -> None:
    """Each kind's and shape's own fields have a row that names it, those of every reading not."""
    rows = [line.split(" | ")[:2] for line in FIELDS.splitlines() if line.startswith("| `")]
    for owner, table in (KINDS | SHAPES).items():
        for name in table.fields:
            if (
                owner.startswith(("reading.", "followup."))
                and name in protocol_tables.OF_EVERY_READING
            ):
                continue
            assert any(f"| `{name}`" == first and f"`{owner}`" in of for first, of in rows)


def test_example_of_canonical_bytes() -> None:
    """The example is canonical, and its hash is right."""
    example, digest = re.findall(r"^(\{\"10\".*)\n([0-9a-f]{64})$", TEXT, re.MULTILINE)[0]
    assert canonical.encode(canonical.decode(example.encode())).decode() == example
    assert hashlib.sha256(example.encode()).hexdigest() == digest


def test_limits() -> None:
    """The limits in the text are those of the code, and the deepest record is as deep as said."""
    assert f"at most {canonical.MAX_DEPTH} levels" in TEXT
    assert f"at most {canonical.MAX_BYTES:,} bytes" in TEXT
    assert f"`{signing.DOMAIN.decode().strip()}`" in TEXT
    depths = [_depth(payload) for payload in read("kinds")["payloads"].values()]
    assert f"the deepest record has {max(depths)}" in TEXT


def test_length() -> None:
    """It stays under 300 lines; what the fields hold is looked up in the other file."""
    assert len(TEXT.splitlines()) < 300


def _depth(value: object) -> int:
    inner = (
        value.values() if isinstance(value, dict) else value if isinstance(value, list) else None
    )
    return 0 if inner is None else 1 + max(map(_depth, inner), default=0)
