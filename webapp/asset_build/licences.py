"""The licences of the packages whose code the built files carry, beside those files."""

import json
from pathlib import Path

from webapp.asset_build.node import PACKAGES, STATIC

# Used to make the files, and not part of them.
TOOLS = ("esbuild",)


def write(out: Path) -> None:
    """Write one text with each package's name, version and licence."""
    wanted = json.loads((STATIC / "package.json").read_bytes())["dependencies"]
    notices = [_notice(PACKAGES / name) for name in sorted(wanted) if name not in TOOLS]
    (out / "licences.txt").write_text("\n\n".join(notices) + "\n", encoding="utf-8")


def _notice(package: Path) -> str:
    facts = json.loads((package / "package.json").read_bytes())
    heading = f"{facts['name']} {facts['version']}: {facts['license']}"
    texts = [path.read_text(encoding="utf-8").strip() for path in sorted(package.glob("LICENSE*"))]
    return "\n\n".join([heading, *texts])
