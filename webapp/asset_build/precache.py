"""What a phone keeps so that it can start with no network: addresses, hashes and sizes."""

import hashlib
import json
from pathlib import Path
from typing import TypedDict

from webapp.asset_build.node import run_node

COMPRESS = Path(__file__).parent / "compress.mjs"
# Brotli would only add to these.
SMALL_ALREADY = (".png",)
# Where the server finds a file whose address is not its path.
PATHS = {"/app/": "app.html"}


class Entry(TypedDict):
    """One file that a phone keeps."""

    url: str
    sha256: str
    bytes: int


class Precache(TypedDict):
    """What every phone keeps, and by part what some do; with each file the version changes."""

    version: str
    entries: list[Entry]
    parts: dict[str, list[Entry]]


def path_of(out: Path, address: str) -> Path:
    """Return the built file that an address serves."""
    return out / PATHS.get(address, address.lstrip("/"))


def precache_of(out: Path, addresses: dict[str, str], parts: dict[str, list[Entry]]) -> Precache:
    """Return the service worker's list; its version is the hash of the list itself."""
    linked = {f"/assets/{path.name}" for path in (out / "assets").iterdir()}
    of_parts = {entry["url"] for part in parts.values() for entry in part}
    everybody = sorted((linked | set(addresses.values())) - of_parts)
    entries = [entry_of(out, address) for address in everybody]
    version = hashlib.sha256(json.dumps([entries, parts]).encode("utf-8")).hexdigest()[:16]
    return Precache(version=version, entries=entries, parts=parts)


def sizes_sent(out: Path) -> dict[str, int]:
    """Write a brotli copy beside each file worth it; return path -> bytes sent to a phone."""
    files = sorted(path for path in out.rglob("*") if path.is_file() and path.suffix != ".br")
    worth_it = [str(path) for path in files if path.suffix not in SMALL_ALREADY]
    compressed: dict[str, int] = json.loads(run_node([str(COMPRESS), *worth_it]))
    as_is = {str(path): path.stat().st_size for path in files if path.suffix in SMALL_ALREADY}
    return {Path(path).relative_to(out).as_posix(): n for path, n in (as_is | compressed).items()}


def entry_of(out: Path, address: str) -> Entry:
    """Return the line of the list for the file at an address."""
    content = path_of(out, address).read_bytes()
    digest = hashlib.sha256(content).hexdigest()
    return Entry(url=address, sha256=digest, bytes=len(content))
