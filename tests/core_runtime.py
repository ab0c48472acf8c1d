"""The core in both of its homes: this Python, and MicroPython in WebAssembly under Node."""

import json
import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Protocol

from tests import core_bridge

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = "@micropython/micropython-webassembly-pyscript"
RUNTIMES = ("cpython", "micropython")


class Core(Protocol):
    """Calls a function of a core module and returns ``{"value"}`` or ``{"refused": field}``."""

    def __call__(self, module: str, function: str, *args: object) -> dict[str, Any]:
        """Call ``webapp.core.<module>.<function>`` with JSON-like arguments."""
        ...


def asked(module: str, function: str, args: tuple[object, ...]) -> str:
    """Return a request as one line of JSON."""
    return json.dumps({"module": module, "function": function, "args": args})


def in_cpython(module: str, function: str, *args: object) -> dict[str, Any]:
    """Answer by this Python, through the same bridge as the other."""
    return dict(json.loads(core_bridge.call(asked(module, function, args))))


def package_folder() -> Path:
    """Return where the MicroPython package lies; LAMPSIDE_NODE_MODULES may say where."""
    modules = Path(os.environ.get("LAMPSIDE_NODE_MODULES", ROOT / "static" / "node_modules"))
    return modules / PACKAGE


def shipped_files() -> list[str]:
    """Return pairs (path in MicroPython, path here) of the core and the bridge."""
    here = [ROOT / "webapp" / "__init__.py", *sorted((ROOT / "webapp" / "core").rglob("*.py"))]
    pairs = ["core_bridge.py", str(ROOT / "tests" / "core_bridge.py")]
    for path in here:
        pairs += [path.relative_to(ROOT).as_posix(), str(path)]
    return pairs


@contextmanager
def micropython() -> Iterator[Core]:
    """Start MicroPython under Node and yield the way to call the core in it.

    Raises:
        FileNotFoundError: the package is not installed (``python3 -m webapp build`` installs it).
        RuntimeError: MicroPython stopped; its own words are in the message.
    """
    folder = package_folder()
    if not (folder / "micropython.mjs").is_file():
        raise FileNotFoundError(f"{PACKAGE} is not installed at {folder}")
    process = subprocess.Popen(
        ["node", str(ROOT / "tests" / "core_runtime.mjs"), str(folder), *shipped_files()],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert process.stdin is not None
    assert process.stdout is not None

    def call(module: str, function: str, *args: object) -> dict[str, Any]:
        try:
            process.stdin.write(asked(module, function, args) + "\n")
            process.stdin.flush()
            line = process.stdout.readline()
        except BrokenPipeError:
            line = ""
        if not line:
            raise RuntimeError(process.stderr.read())
        return dict(json.loads(line))

    try:
        yield call
    finally:
        process.stdin.close()
        process.stdout.close()
        process.stderr.close()
        process.wait(timeout=20)
