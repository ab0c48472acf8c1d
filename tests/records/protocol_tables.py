"""The tables of PROTOCOL.md and FIELDS.md, made from the kinds; run as a module, it writes them.

What a person reads through stands in the first, what is looked up field by field in the second.
"""

from pathlib import Path

from webapp.records.kinds import KINDS, SHAPES, Field, Kind
from webapp.records.kinds_rules import RULES

RECORDS = Path(__file__).parents[2] / "webapp" / "records"
PROTOCOL, FIELDS = RECORDS / "PROTOCOL.md", RECORDS / "FIELDS.md"
BEGIN, END = "<!-- tables: begin -->\n", "<!-- tables: end -->\n"

# Every reading, before surgery or after, has these two: described once, above the tables.
OF_EVERY_READING = ("taken", "typed")


def tables() -> str:
    """Return the kinds and the rules between their fields as Markdown tables."""
    kinds = _table("kind | about | written by | signed by | further", _kind_rows())
    rules = _table("rule | of | what must hold", [_rule_row(rule) for rule in RULES])
    return f"{kinds}\n\n{rules}"


def field_tables() -> str:
    """Return the fields of the kinds, and of the objects inside them, as Markdown tables."""
    kinds = _field_rows({kind.name: kind.fields for kind in KINDS.values()})
    shapes = _field_rows({name: shape.fields for name, shape in SHAPES.items()})
    of_kinds = _table("field | of | meaning | recorded as | null", kinds)
    of_shapes = _table("field | of the shape | meaning | recorded as | null", shapes)
    return f"{of_kinds}\n\n{of_shapes}"


def _table(header: str, rows: list[str]) -> str:
    line = " | ".join("---" for _ in header.split(" | "))
    return "\n".join(f"| {row} |" for row in (header, line, *rows))


def _kind_rows() -> list[str]:
    """Return a row for each way of writing; what several kinds share is one row."""
    kinds: dict[str, list[str]] = {}
    for kind in KINDS.values():
        kinds.setdefault(_terms(kind), []).append(f"`{kind.name}` {kind.title}")
    return [f"{'; '.join(named)} | {terms}" for terms, named in kinds.items()]


def _terms(kind: Kind) -> str:
    further = [
        "can be corrected" if kind.replaceable else "",
        "gives a reason" if kind.needs_reason else "",
        "one live record" if kind.unique else "",
        "a plan can do without" if kind.optional else "",
    ]
    about = {"either": "person or eye"}.get(kind.subject, kind.subject)
    signer = {"either": "device or desk"}.get(kind.signed_by, kind.signed_by)
    return " | ".join([about, ", ".join(kind.roles), signer, ", ".join(filter(None, further))])


def _rule_row(rule: str) -> str:
    owners = [name for name, table in (KINDS | SHAPES).items() if rule in table.rules]
    return f"`{rule}` | {_names(owners)} | {RULES[rule].__doc__}"


def _field_rows(tables_of_fields: dict[str, dict[str, Field]]) -> list[str]:
    """Return a row for each field; what several kinds share is one row."""
    owners: dict[tuple[str, str], list[str]] = {}
    for owner, fields in tables_of_fields.items():
        for name, field in fields.items():
            if owner.startswith(("reading.", "followup.")) and name in OF_EVERY_READING:
                continue
            null = "" if field["required"] else field.get("needs", "yes")
            null += "; absent in older records" if field.get("absent") else ""
            row = f"{_meaning(field)} | {_recorded(field)} | {null}"
            owners.setdefault((name, row), []).append(owner)
    return [f"`{name}` | {_names(of)} | {row}" for (name, row), of in owners.items()]


def _names(names: list[str]) -> str:
    return ", ".join(f"`{name}`" for name in names)


def _meaning(field: Field) -> str:
    between = " " if field["label"].endswith("?") else ": "
    return between.join(filter(None, [field["label"], field.get("doc")]))


def _recorded(field: Field) -> str:
    if field["type"] == "int":
        per = f", {field['scale']} per {field['unit']}" if field["scale"] > 1 else ""
        unit = f" {field['unit']}" if field["scale"] == 1 and field["unit"] else ""
        step = f", step {field['step']}" if field["step"] > 1 else ""
        sign = ", sign said" if field["signed"] else ""
        return f"{field['min']} to {field['max']}{unit}{per}{step}{sign}"
    if field["type"] == "choice":
        return ", ".join(f"`{choice}`" for choice, _label in field["choices"])
    if field["type"] == "list":
        order = "ascending " if field.get("sorted") else ""
        size = f"{field['min_items']} to {field['max_items']}"
        return f"{order}list of {size}: {_recorded(field['items'])}"
    if field["type"] == "map":
        return f"up to {field['max_items']} names: {_recorded(field['of'])}"
    since = field.get("ascii_since")
    ascii_alone = f", printable ASCII from {since} on" if since else ""
    texts = {
        "text": f"text, to {field.get('max_chars')}{ascii_alone}",
        "object": f"`{field.get('shape')}`",
    }
    return texts.get(field["type"], str(field["type"]))


def main() -> None:
    """Write the tables into both files."""
    for path, made in ((PROTOCOL, tables()), (FIELDS, field_tables())):
        before, rest = path.read_text("utf-8").split(BEGIN)
        _old, after = rest.split(END)
        path.write_text(f"{before}{BEGIN}{made}\n{END}{after}", "utf-8")


if __name__ == "__main__":
    main()
