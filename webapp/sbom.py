"""The command ``sbom``: print the list of all packages that Lampside is made of."""

import json
import sys

from webapp import options
from webapp.asset_build.node import STATIC
from webapp.components import browser_parts, python_parts
from webapp.components.document import document

LOCK_FILE = STATIC / "package-lock.json"


def main(argv: list[str]) -> int:
    """Print the list, or say why it cannot be made; return the exit code."""
    options.sbom().parse_args(argv)
    if not LOCK_FILE.exists():
        print(f"{LOCK_FILE} is not here: make the list in a checkout.", file=sys.stderr)
        return 1
    packages = browser_parts.packages_of(LOCK_FILE)
    parts = python_parts.parts() + browser_parts.parts(packages)
    direct = python_parts.direct() + browser_parts.direct(packages)
    print(json.dumps(document(parts, direct), indent=2, ensure_ascii=False))
    return 0
