"""Kinds of input: each reads a JSON value into a checked one, and describes itself for a reader.

The same tables validate and document, so that what is printed as the range is the range. A kind
has ``read(path, value)``, which raises BadInput naming the field by its path, and ``text()``.
"""

from collections import namedtuple

from webapp.core.errors import BadInput, OutOfRange
from webapp.core.units import plain

# name: JSON key; kind: one of the classes below; is_required; note: what it is, for a reader.
Field = namedtuple("Field", ("name", "kind", "is_required", "note"))
# name: as asked for; input: its Group; work: takes what the group makes, returns the answer.
Calculation = namedtuple("Calculation", ("name", "summary", "input", "work"))
Limits = namedtuple("Limits", ("low", "high", "unit"))
Build = namedtuple("Build", ("make", "fields", "check"))
Row = namedtuple("Row", ("kind", "least", "exactly", "check"))


def number_of(path: str, value: object) -> float:
    """Return a JSON number as a float.

    Raises:
        BadInput: true, false, text, a list, an infinity or not a number.
    """
    # The browser's Python does not count True as an int, this one does: so ask for it by name.
    if value is True or value is False or value is None:
        raise BadInput(path, path + " must be a number, not true, false or null")
    if not isinstance(value, (int, float)):
        raise BadInput(path, path + " must be a plain number, without quotation marks")
    if isinstance(value, int) and not -(10**15) < value < 10**15:
        raise BadInput(path, path + " is far too large; check the number and its unit")
    number = float(value)
    # Written so that a value which is not a number fails as well.
    if not -1e308 < number < 1e308:
        raise BadInput(path, path + " must be a finite number")
    return number


class Number:
    """A number within limits that make physical sense, ends included."""

    def __init__(self, low: float, high: float, unit: str = "") -> None:
        self.limits = Limits(low, high, unit)

    def read(self, path: str, value: object) -> float:
        """Return the number."""
        number = number_of(path, value)
        if not self.limits.low <= number <= self.limits.high:
            raise OutOfRange(path, self.limits.low, self.limits.high, self.limits.unit)
        return number

    def text(self) -> str:
        """Describe the range."""
        ending = " " + self.limits.unit if self.limits.unit else ""
        return plain(self.limits.low) + " to " + plain(self.limits.high) + ending


class VaultNumber:
    """A vault in um, in which a small number is really a number of millimetres."""

    def __init__(self, high_um: float = 2500.0) -> None:
        self.range = Number(0.0, high_um, "um")

    def read(self, path: str, value: object) -> float:
        """Return the vault [um]."""
        number = number_of(path, value)
        if 0.0 < number < 10.0:
            raise BadInput(path, path + " looks like millimetres; give it in um, or 0 for touch")
        return self.range.read(path, number)

    def text(self) -> str:
        """Describe the range."""
        return "0, or 10 to " + plain(self.range.limits.high) + " um"


class Axis:
    """A cylinder's axis; null where there is no cylinder to have one."""

    def read(self, path: str, value: object) -> float | None:
        """Return the axis [deg], or None for null."""
        return None if value is None else Number(0.0, 180.0, "deg").read(path, value)

    def text(self) -> str:
        """Describe the range."""
        return "0 to 180 deg (0 is 180), null only with cylinder 0"


class Name:
    """A short text: one of the given words, or any if none are given."""

    def __init__(self, words: tuple[str, ...] = ()) -> None:
        self.words = words

    def read(self, path: str, value: object) -> str:
        """Return the text."""
        if not isinstance(value, str) or not 0 < len(value) <= 100:
            raise BadInput(path, path + " must be a short text")
        if self.words and value not in self.words:
            raise BadInput(path, path + " must be one of: " + ", ".join(self.words))
        return value

    def text(self) -> str:
        """Name the words."""
        return " | ".join('"' + word + '"' for word in self.words) if self.words else "text"


class Items:
    """A list of one kind, with a least and, if wanted, an exact number of items.

    ``check``, if given, takes the path and the list read and returns what is kept of it.
    """

    def __init__(
        self, kind: object, least: int = 1, exactly: int = 0, check: object = None
    ) -> None:
        self.row = Row(kind, least, exactly, check)

    def read(self, path: str, value: object) -> object:
        """Return the checked items, in order, or what ``check`` makes of them."""
        if not isinstance(value, list):
            raise BadInput(path, path + " must be a list")
        if self.row.exactly and len(value) != self.row.exactly:
            raise BadInput(path, path + " must have " + str(self.row.exactly) + " items")
        if len(value) < self.row.least:
            raise BadInput(path, path + " must have " + str(self.row.least) + " or more items")
        read = self.row.kind.read
        items = [read(path + "[" + str(place) + "]", item) for place, item in enumerate(value)]
        return items if self.row.check is None else self.row.check(path, items)

    def text(self) -> str:
        """Describe the items."""
        count = str(self.row.exactly) if self.row.exactly else str(self.row.least) + " or more"
        return "list of " + count + ": " + str(self.row.kind.text())


class Group:
    """A JSON object with named fields and no others, read into a namedtuple.

    ``make`` takes the values in the order of the fields, None for an optional one left out;
    ``check``, if given, takes the path and the made value and returns what is kept of it.
    """

    def __init__(self, make: object, fields: tuple[Field, ...], check: object = None) -> None:
        self.build = Build(make, fields, check)

    def read(self, path: str, value: object) -> object:
        """Return the namedtuple, or what ``check`` makes of it."""
        if not isinstance(value, dict):
            raise BadInput(path or "input", (path or "the input") + " must be a JSON object")
        check_keys(path, value, self.build.fields)
        values = []
        for field in self.build.fields:
            name = field.name
            given = name in value
            values.append(field.kind.read(joined(path, name), value[name]) if given else None)
        made = self.build.make(*values)
        return made if self.build.check is None else self.build.check(path, made)

    def text(self) -> str:
        """Name the fields in one line."""
        return "{" + ", ".join(field.name for field in self.build.fields) + "}"


def joined(path: str, name: str) -> str:
    """Return the path of a field inside another."""
    return path + "." + name if path else name


def check_keys(path: str, value: dict[str, object], fields: tuple[Field, ...]) -> None:
    """Raise BadInput for a key given twice, an unknown key, or a missing one, in that order."""
    for name in getattr(value, "repeated", ()):
        raise BadInput(joined(path, name), joined(path, name) + " is given twice")
    known = [field.name for field in fields]
    unknown = [name for name in value if name not in known]
    if unknown:
        name = min(unknown)
        where = joined(path, name) or "input"
        raise BadInput(where, unknown_key(where, name, known, value))
    for field in fields:
        if field.is_required and field.name not in value:
            where = joined(path, field.name)
            raise BadInput(where, where + " is missing: " + field.note)


def unknown_key(where: str, name: str, known: list[str], value: dict[str, object]) -> str:
    """Return the sentence for an unknown key; a wrong unit at its end is named as such."""
    stem = name.rsplit("_", 1)[0]
    for other in known:
        if other not in value and other.rsplit("_", 1)[0] == stem:
            return where + " is not a field here; give " + other + " in the unit of its name"
    return where + " is not a field here; the fields are " + ", ".join(known)


def lines(fields: tuple[Field, ...], indent: str = "  ") -> list[str]:
    """Return a description of fields, one line each, groups indented below their name."""
    found = []
    for field in fields:
        ending = "" if field.is_required else " (optional)"
        found.append(indent + field.name + ": " + field.kind.text() + ending + ". " + field.note)
        inner = inner_group(field.kind)
        if inner is not None:
            found.extend(lines(inner.build.fields, indent + "    "))
    return found


def inner_group(kind: object) -> Group | None:
    """Return the group that a kind is, or is a list of."""
    if isinstance(kind, Group):
        return kind
    return inner_group(kind.row.kind) if isinstance(kind, Items) else None
