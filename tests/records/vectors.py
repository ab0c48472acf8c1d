"""The vector files that Python and JavaScript both read."""

import json
from pathlib import Path
from typing import Any

Case = dict[str, Any]

FOLDER = Path(__file__).parent.parent / "vectors"


def read(name: str) -> Case:
    """Return one vector file."""
    vectors: Case = json.loads((FOLDER / f"{name}.json").read_bytes())
    return vectors


def label(case: Case) -> str:
    """Return a case's name for the list of tests."""
    return str(case.get("name") or case.get("text"))[:60]
