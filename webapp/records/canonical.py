"""Canonical JSON (RFC 8785) of whole numbers, text, null, lists and objects: one value, one text.

The decoder takes exactly what the encoder writes: it encodes what it read and compares the bytes,
so a duplicate key, a fraction, an exponent, a space or another key order can't slip through.
"""

import re
import unicodedata
from collections.abc import Iterable
from typing import TypeAlias

import msgspec
import rfc8785

from webapp.records.errors import BadRecord

JsonValue: TypeAlias = "dict[str, JsonValue] | list[JsonValue] | str | int | None"

MAX_BYTES = 64 * 1024
MAX_DEPTH = 8
MAX_INTEGER = 2**53 - 1  # beyond it a browser's numbers are no longer exact

_WHERE = "record"
_SURROGATE = re.compile("[\ud800-\udfff]")
_write_plain = msgspec.json.Encoder(order="sorted").encode
_read = msgspec.json.Decoder().decode


def encode(value: JsonValue) -> bytes:
    """Return the canonical UTF-8 bytes of a value.

    Raises:
        BadRecord: the value holds anything but text in NFC, whole numbers up to 2^53-1, null,
            lists and objects, is nested deeper than 8, or is longer than 64 KiB.

    Source:
        RFC 8785 (JSON Canonicalization Scheme), 3.2; keys in order of their UTF-16 units.
    """
    _check_value(value, 1)
    # In ASCII alone, order by character is order by UTF-16 unit, and this library escapes exactly
    # what RFC 8785 does; it writes many times as fast.
    plain = _write_plain(value)
    data = plain if plain.isascii() else rfc8785.dumps(value)
    if len(data) > MAX_BYTES:
        raise BadRecord(_WHERE, "The record is longer than 64 KiB. Shorten its texts.")
    return data


def decode(data: bytes) -> JsonValue:
    """Return the value of canonical bytes.

    Raises:
        BadRecord: the bytes are not exactly what ``encode`` would write.
    """
    if len(data) > MAX_BYTES:
        raise BadRecord(_WHERE, "The record is longer than 64 KiB.")
    try:
        value: JsonValue = _read(data)
    except (ValueError, RecursionError) as error:
        # ValueError covers bad UTF-8 and bad JSON.
        raise BadRecord(_WHERE, "The record is not canonical JSON.") from error
    if encode(value) != data:
        raise BadRecord(_WHERE, "The record is not in its one canonical form.")
    return value


def _check_value(value: object, depth: int) -> None:
    """Refuse what has no canonical form here, before anything is written."""
    if isinstance(value, dict):
        for key in value:
            if type(key) is not str or not key.isascii():
                _check_text(key)
        _check_all(value.values(), depth)
    elif isinstance(value, list):
        _check_all(value, depth)
    elif isinstance(value, str):
        _check_text(value)
    elif value is not None:
        _check_integer(value)


def _check_all(values: Iterable[object], depth: int) -> None:
    if depth > MAX_DEPTH:
        raise BadRecord(_WHERE, "The record is nested deeper than 8 levels.")
    for value in values:
        # Nearly all that a record holds, without a call for each.
        if value is None or (type(value) is str and value.isascii()):
            continue
        _check_value(value, depth + 1)


def _check_integer(value: object) -> None:
    if isinstance(value, float):
        raise BadRecord(_WHERE, "Only whole numbers may be recorded.")
    # A bool is an int to Python; type() is not fooled.
    if type(value) is not int:
        raise BadRecord(_WHERE, "Only text, whole numbers, null, lists and objects are recorded.")
    if abs(value) > MAX_INTEGER:
        raise BadRecord(_WHERE, "A whole number is larger than 2^53-1.")


def _check_text(text: object) -> None:
    if not isinstance(text, str):
        raise BadRecord(_WHERE, "A key of an object must be text.")
    if text.isascii():
        return  # nearly every text of a record; the two checks below can't fail then
    if _SURROGATE.search(text):
        raise BadRecord(_WHERE, "A text holds half a character (a lone surrogate).")
    if not unicodedata.is_normalized("NFC", text):
        raise BadRecord(_WHERE, "A text is not in Unicode's composed form (NFC).")
