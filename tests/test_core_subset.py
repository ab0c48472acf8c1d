"""The core keeps to the part of Python that the browser's Python has too, and shares to the bit.

Each rule has a planted offence below, so that a rule that has stopped working is seen.
"""

import ast
from pathlib import Path

import pytest

CORE = Path(__file__).resolve().parents[1] / "webapp" / "core"
FILES = sorted(CORE.rglob("*.py"))

# What ``math`` offers in both; hypot, fsum, dist, prod, comb, cbrt and log1p are missing there.
MATH = {
    "acos", "asin", "atan", "atan2", "ceil", "copysign", "cos", "degrees", "e", "erf", "erfc",
    "exp", "expm1", "fabs", "floor", "isfinite", "isinf", "isnan", "lgamma", "log", "pi",
    "radians", "sin", "sqrt", "tan", "trunc",
}  # fmt: skip
# Missing there, or different: sum (compensated here from 3.12 on), round and format (halves).
CALLS = {"sum", "round", "format", "hash", "id", "open", "print", "eval", "exec", "input", "pow"}
METHODS = {
    "format", "items", "_asdict", "_replace", "removeprefix", "removesuffix", "zfill", "ljust",
    "rjust", "title", "casefold", "is_integer", "hex", "fromhex", "bit_length",
}  # fmt: skip
STATEMENTS = (ast.Match, ast.AsyncFunctionDef, ast.Await, ast.TryStar)


def offences(text: str, is_door: bool = False) -> list[str]:
    """Return what a core file does that the two Pythons do not do alike, by line.

    The door alone may import ``json``: text goes in and out there and nowhere else.
    """
    tree = ast.parse(text)
    harmless = order_free(tree)
    found = []
    for node in ast.walk(tree):
        why = None if node in harmless else offence(node)
        if why and not (is_door and why == "imports ['json']"):
            found.append(f"line {getattr(node, 'lineno', 0)}: {why}")
    return found


def order_free(tree: ast.AST) -> set[ast.AST]:
    """Return the walks over a dict that only make another dict, where order cannot matter."""
    return {
        source.iter
        for node in ast.walk(tree)
        if isinstance(node, ast.DictComp)
        for source in node.generators
    }


def offence(node: ast.AST) -> str | None:
    """Return what is wrong with one node, if anything."""
    if isinstance(node, ast.Import):
        return wrong_import([alias.name for alias in node.names])
    if isinstance(node, ast.ImportFrom):
        return wrong_from(node)
    if isinstance(node, ast.Call):
        return wrong_call(node)
    if isinstance(node, ast.Attribute):
        return wrong_attribute(node)
    return wrong_syntax(node)


def wrong_import(names: list[str]) -> str | None:
    """Only ``math`` is imported whole."""
    return None if names == ["math"] else f"imports {names}"


def wrong_from(node: ast.ImportFrom) -> str | None:
    """Only ``namedtuple`` and the core's own files are imported from."""
    if node.level == 0 and node.module == "collections":
        return None if [a.name for a in node.names] == ["namedtuple"] else "imports collections"
    own = node.level == 0 and (node.module or "").split(".")[:2] == ["webapp", "core"]
    return None if own else f"imports from {node.module}"


def wrong_call(node: ast.Call) -> str | None:
    """No call that is missing there or answers differently."""
    if isinstance(node.func, ast.Name):
        name = node.func.id
        keywords = {keyword.arg for keyword in node.keywords}
        if name in CALLS:
            return f"calls {name}"
        if name == "namedtuple" and (keywords or len(node.args) != 2):
            return "gives a named tuple defaults"
    if isinstance(node.func, ast.Attribute) and node.func.attr in METHODS:
        return f"calls .{node.func.attr}()"
    return None


def wrong_attribute(node: ast.Attribute) -> str | None:
    """Nothing of ``math`` that is missing there."""
    is_math = isinstance(node.value, ast.Name) and node.value.id == "math"
    return f"uses math.{node.attr}" if is_math and node.attr not in MATH else None


def wrong_syntax(node: ast.AST) -> str | None:
    """No statement or expression that is missing there, or formats a number."""
    starred = isinstance(node, (ast.List, ast.Set)) and any(
        isinstance(item, ast.Starred) for item in node.elts
    )
    wrong = {
        "has no counterpart there": isinstance(node, STATEMENTS),
        "formats a value": isinstance(node, ast.FormattedValue)
        and (node.format_spec is not None or node.conversion != -1),
        "has positional-only arguments": isinstance(node, ast.arguments) and bool(node.posonlyargs),
        "unpacks a dict": isinstance(node, ast.Dict) and None in node.keys,
        "unpacks inside a list": starred,
        "formats with %": isinstance(node, ast.BinOp) and formats(node),
    }
    return next((why for why, is_so in wrong.items() if is_so), None)


def formats(node: ast.BinOp) -> bool:
    """Return whether an operation is a text with values put in by %."""
    is_text = isinstance(node.left, ast.JoinedStr) or (
        isinstance(node.left, ast.Constant) and isinstance(node.left.value, str)
    )
    return isinstance(node.op, ast.Mod) and is_text


@pytest.mark.parametrize("path", FILES, ids=[path.name for path in FILES])
def test_file_keeps_to_the_shared_subset(path: Path) -> None:
    """No import, call or syntax that the browser's Python lacks or answers differently."""
    assert offences(path.read_text(encoding="utf-8"), path.name == "door.py") == []


PLANTED = [
    "import typing",
    "import math, json",
    "from dataclasses import dataclass",
    "from collections import OrderedDict",
    "from webapp.store import journal",
    "from . import optics",
    "import math\nx = math.hypot(1, 2)",
    "x = sum([1.0])",
    "x = round(1.5)",
    "x = f'{1.5:.2f}'",
    "x = f'{1.5!r}'",
    "x = '%.2f' % 1.5",
    "x = '{}'.format(1)",
    "for name, value in {}.items(): pass",
    "match 1:\n    case 1: pass",
    "def f(a, /): pass",
    "x = {**{}}",
    "x = [*[]]",
    "from collections import namedtuple\nA = namedtuple('A', ('b',), defaults=(1,))",
    "x = y._replace(a=1)",
    "import json",
    "x = [name for name, value in {}.items()]",
]


@pytest.mark.parametrize("text", PLANTED)
def test_a_planted_offence_is_found(text: str) -> None:
    """The lint sees each thing it is there for."""
    assert offences(text) != []
