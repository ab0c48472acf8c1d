"""The calculation core as one named thing: its files, the hash that names them, and the bundle.

The name is the SHA-256 of what ``sha256sum`` prints for the files, so anyone can check it:
``find webapp/__init__.py webapp/core -name '*.py' | LC_ALL=C sort | xargs sha256sum | sha256sum``.
"""

import hashlib
import json
from functools import cache
from pathlib import Path

PACKAGE = Path(__file__).parent
CORE = PACKAGE / "core"


@cache
def core_files() -> dict[str, str]:
    """Return path -> text of each Python file of the core, sorted by path, as of process start."""
    paths = [PACKAGE / "__init__.py", *CORE.rglob("*.py")]
    texts = {_address(path): path.read_bytes().decode("utf-8") for path in paths}
    return dict(sorted(texts.items()))


@cache
def core_sha256() -> str:
    """Return the hash that names the core in each plan, approval, order and printout."""
    return name_of(core_files())


def name_of(files: dict[str, str]) -> str:
    """Return the hash that names a core of these files (path -> text), whatever their order."""
    lines = [f"{_sha256(text)}  {path}\n" for path, text in sorted(files.items())]
    return _sha256("".join(lines))


def bundle_bytes() -> bytes:
    """Return what a phone fetches: the name, the files, and the self-test it must pass."""
    bundle = {"sha256": core_sha256(), "files": core_files(), "selftest": _selftest()}
    return json.dumps(bundle, ensure_ascii=False, separators=(",", ":")).encode("utf-8")


def _selftest() -> list[dict[str, object]]:
    """Return the calls whose answers a phone's engine must reproduce before it may calculate."""
    vectors: list[dict[str, object]] = json.loads((CORE / "selftest.json").read_bytes())
    return vectors


def _address(path: Path) -> str:
    return f"{PACKAGE.name}/{path.relative_to(PACKAGE).as_posix()}"


def _sha256(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8")).hexdigest()
