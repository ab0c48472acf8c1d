"""The vector files that Python and JavaScript both read."""

import json
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent.parent / "vectors"


def read(name: str) -> dict[str, Any]:
    """Return one vector file."""
    vectors: dict[str, Any] = json.loads((FOLDER / f"{name}.json").read_bytes())
    return vectors


def label(case: dict[str, Any]) -> str:
    """Return a case's name for the list of tests."""
    return str(case.get("name") or case.get("text"))[:60]
