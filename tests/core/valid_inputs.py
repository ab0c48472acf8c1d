"""One usable input of each calculation, from the worked values."""

import json
from pathlib import Path
from typing import Any

VECTORS = Path(__file__).resolve().parents[1] / "vectors"
FILES = ("optics", "lens_power", "rotation", "vault", "endothelium", "exchange", "astigmatism")


def valid_inputs() -> dict[str, dict[str, Any]]:
    """Return one usable input of each calculation, from the worked values."""
    found: dict[str, dict[str, Any]] = {}
    for name in FILES:
        for vector in json.loads((VECTORS / f"{name}.json").read_text(encoding="utf-8")):
            found.setdefault(vector["calc"], vector["input"])
    return found


VALID = valid_inputs()
