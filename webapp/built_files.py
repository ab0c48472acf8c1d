"""The addresses of the built files by the names that pages use, from the build's manifest."""

import json
from functools import cache
from pathlib import Path

UNBUILT = "/assets/unbuilt"


@cache
def _addresses(built_dir: Path) -> dict[str, str]:
    manifest = built_dir / "manifest.json"
    if not manifest.is_file():
        return {}
    found: dict[str, str] = json.loads(manifest.read_bytes())["addresses"]
    return found


def address_of(built_dir: Path, name: str) -> str:
    """Return the address of a built file such as ``css``; one that is not there when unbuilt."""
    return _addresses(built_dir).get(name, UNBUILT)


def is_built(built_dir: Path) -> bool:
    """Say whether the browser's files have been built."""
    return bool(_addresses(built_dir))
