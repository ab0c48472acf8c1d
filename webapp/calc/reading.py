"""JSON text to a value, strictly: a key given twice is remembered instead of silently dropped."""

import json

from webapp.core.errors import BadInput


class Repeated(dict[str, object]):
    """A JSON object that gave a key twice; the field tables refuse it by name."""

    repeated: tuple[str, ...] = ()


def object_of(pairs: list[tuple[str, object]]) -> dict[str, object]:
    """Return the object of these pairs, marked if a key came twice."""
    found = dict(pairs)
    if len(found) == len(pairs):
        return found
    marked = Repeated(found)
    names = [name for name, _ in pairs]
    marked.repeated = tuple(name for place, name in enumerate(names) if name in names[:place])
    return marked


def value_of(raw: bytes) -> object:
    """Return the JSON value of some bytes.

    Raises:
        BadInput: empty, not UTF-8, not JSON, nested too deep, or a number too long to read.
    """
    if not raw.strip():
        raise BadInput("input", "the input is empty; give one JSON object, as --help describes it")
    try:
        return json.loads(raw.decode("utf-8-sig"), object_pairs_hook=object_of)
    except UnicodeDecodeError:
        raise BadInput("input", "the input is not UTF-8 text") from None
    except RecursionError:
        raise BadInput("input", "the input is nested too deep") from None
    except ValueError:
        raise BadInput("input", "the input is not one JSON object") from None
