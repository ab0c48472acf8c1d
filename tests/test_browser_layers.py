"""The browser's modules import downwards only, as the Python parts do."""

import re
from collections.abc import Iterator
from pathlib import Path

from webapp.bootstrap import ROOT

STATIC = ROOT / "static"
IMPORT = re.compile(
    r"""(?:^import\b[^"';]*|^export\b[^"';]*\bfrom\s*|\bimport\()["'](\.[^"']+)""", re.M
)
# Folder -> the folders it may import from, beside itself.
BELOW = {
    "records": set[str](),
    "store": {"records"},
    "core": {"store", "records"},
    "scan": set[str](),
    "sync": {"store", "records"},
    "ui": {"store", "records"},
    "steps": {"ui", "scan", "sync", "core", "store", "records"},
    "parts": {"steps"},
}


def imports() -> Iterator[tuple[Path, str, str]]:
    """Yield each module, its folder, and the folder of each module of ours that it imports."""
    for path in sorted(STATIC.rglob("*.js")):
        if "node_modules" in path.parts or path.parent == STATIC:
            continue
        for found in IMPORT.findall(path.read_text(encoding="utf-8")):
            target = (path.parent / found).resolve()
            if target.is_relative_to(STATIC):
                yield path, path.relative_to(STATIC).parts[0], target.relative_to(STATIC).parts[0]


class TestLayers:
    """main -> steps -> ui, sync, core -> store -> records."""

    def test_no_module_imports_upwards(self) -> None:
        """Each import stays in its folder or goes to one below; only main imports the steps."""
        found = list(imports())
        assert len(found) > 20
        wrong = [
            f"{path.relative_to(ROOT)} imports {target}"
            for path, folder, target in found
            if target != folder and target not in BELOW.get(folder, set()) and "." not in target
        ]
        assert wrong == []
