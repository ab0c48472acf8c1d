"""The browser's packages, as the lock file of ``static/`` pins them."""

import base64
import json
from pathlib import Path
from typing import Any

from webapp.components.component import EXCLUDED, REQUIRED, Component, url_of

FOLDER = "node_modules/"
Packages = dict[str, dict[str, Any]]


def packages_of(lock_file: Path) -> Packages:
    """Return the lock file's packages: path -> what it says; the program itself has no path."""
    packages: Packages = json.loads(lock_file.read_text(encoding="utf-8"))["packages"]
    return packages


def parts(packages: Packages) -> list[Component]:
    """Return each package that is pinned; those of the checks are excluded from what runs."""
    return [_component(path, packages) for path in sorted(packages) if path]


def direct(packages: Packages) -> list[str]:
    """Return the package URLs of what the pages themselves ask for."""
    return _found("", {**packages[""]["dependencies"], **packages[""]["devDependencies"]}, packages)


def _component(path: str, packages: Packages) -> Component:
    said = packages[path]
    scope = EXCLUDED if said.get("dev") else REQUIRED
    needs = {**said.get("dependencies", {}), **said.get("optionalDependencies", {})}
    return Component(
        "npm", _name(path), said["version"], scope, said.get("license"), "license" in said,
        sha512_of(said.get("integrity", "")), tuple(_found(path, needs, packages)),
    )  # fmt: skip


def _found(path: str, names: dict[str, str], packages: Packages) -> list[str]:
    """Return the package URLs of these names as Node finds them from a folder: nearest first."""
    found = []
    for name in names:
        inner, outer = f"{path}/{FOLDER}{name}", f"{FOLDER}{name}"
        place = inner if inner in packages else outer
        if place in packages:
            found.append(url_of("npm", name, packages[place]["version"]))
    return sorted(found)


def _name(path: str) -> str:
    return path.rpartition(FOLDER)[2]


def sha512_of(integrity: str) -> str | None:
    """Return the hex of a subresource-integrity text, None where it is not SHA-512."""
    kind, _, text = integrity.partition("-")
    return base64.b64decode(text).hex() if kind == "sha512" else None
