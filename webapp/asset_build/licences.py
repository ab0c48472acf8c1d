"""The licences of the packages whose code the built files carry, beside those files."""

import json
from importlib.metadata import distribution
from pathlib import Path

from webapp.asset_build.node import PACKAGES, STATIC

# Used to make the files, and not part of them.
TOOLS = ("esbuild",)
WITHIN = {"zxing-wasm": ("zxing-cpp", "Apache-2.0")}
"""Package -> what is compiled into it by others, and its licence, whose text it does not bring."""


class LicenceMissing(RuntimeError):
    """The text of a licence is not where it was; the message says which."""


def write(out: Path) -> None:
    """Write one text with each package's name, version and licence."""
    wanted = json.loads((STATIC / "package.json").read_bytes())["dependencies"]
    notices = [_notice(PACKAGES / name) for name in sorted(wanted) if name not in TOOLS]
    (out / "licences.txt").write_text("\n\n".join(notices) + "\n", encoding="utf-8")


def _notice(package: Path) -> str:
    facts = json.loads((package / "package.json").read_bytes())
    heading = f"{facts['name']} {facts['version']}: {facts['license']}"
    texts = [path.read_text(encoding="utf-8").strip() for path in sorted(package.glob("LICENSE*"))]
    return "\n\n".join([heading, *texts, *_within(f"{facts['name']}", f"{facts['version']}")])


def _within(name: str, version: str) -> list[str]:
    """Return heading and text of the licence of what is compiled into a package, if anything is."""
    if name not in WITHIN:
        return []
    part, licence = WITHIN[name]
    return [f"{part}, compiled into {name} {version}: {licence}", _apache_text()]


def _apache_text() -> str:
    """Return the Apache License 2.0, word for word, from an installed package that brings it.

    Raises:
        LicenceMissing: that package brings it no longer.
    """
    files = distribution("cryptography").files or []
    for one in files:
        if one.name == "LICENSE.APACHE":
            return one.read_text(encoding="utf-8").strip()
    raise LicenceMissing("The text of the Apache License 2.0 is not in cryptography any more.")
