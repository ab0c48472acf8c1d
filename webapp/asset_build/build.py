"""Builds webapp/built/ when its sources changed, all or nothing."""

import hashlib
import json
import shutil
from pathlib import Path
from typing import TypedDict

from webapp.asset_build import budget, bundle, licences, precache
from webapp.asset_build.node import STATIC, bring_packages_up_to_date
from webapp.asset_build.precache import Entry, Precache
from webapp.bootstrap import ROOT, SetUpFailed, one_at_a_time, say
from webapp.core_bundle import core_sha256

BUILT = ROOT / "webapp" / "built"
ENTRY_POINTS = (
    "main.js", "core/worker.js", "sw.js", "app.css", "app.html", "app.webmanifest",
    "desk.css", "desk.js", "scan.js",
)  # fmt: skip


def bring_up_to_date(always: bool = False) -> None:
    """Build unless what is there was made from the very sources of now."""
    with one_at_a_time():
        if always or _built_from() != source_hash():
            build_assets()


def build_assets() -> None:
    """Build everything, print its weight, and put it in place of the build before.

    Raises:
        SetUpFailed: a source is missing, a tool failed, or the result is too heavy.
    """
    missing = [name for name in ENTRY_POINTS if not (STATIC / name).exists()]
    if missing:
        raise SetUpFailed(f"static/ lacks {', '.join(missing)}; check the files out again.")
    bring_packages_up_to_date()
    say("Building the browser's files ...")
    out = BUILT.with_name("built.new")
    shutil.rmtree(out, ignore_errors=True)
    made_from = source_hash()
    addresses, parts = bundle.make_all(out)
    kept = precache.precache_of(out, addresses, parts)
    addresses |= bundle.make_desk(out, addresses)
    bundle.make_service_worker(out, kept)
    sent = _sent(out, addresses, kept)
    bundle.copy_fonts(out)
    licences.write(out)
    _write_manifest(out, made_from, addresses, sent, kept["version"])
    weights = budget.weigh(sent["everybody"], sent["parts"])
    say("\n".join(f"  {weight.line()}" for weight in weights))
    budget.require_within(weights)
    shutil.rmtree(BUILT, ignore_errors=True)
    out.rename(BUILT)


def source_hash() -> str:
    """Return one hash over everything the build reads from this working copy."""
    names = [path for path in STATIC.rglob("*") if "node_modules" not in path.parts]
    names += [*(ROOT / "webapp" / "asset_build").glob("*.*"), *ROOT.glob("webapp/records/*.json")]
    names += [*(ROOT / "webapp" / "core").rglob("*.py"), *ROOT.glob("webapp/core/*.json")]
    digest = hashlib.sha256((ROOT / "webapp" / "core_bundle.py").read_bytes())
    for path in sorted(path for path in names if path.is_file()):
        content = hashlib.sha256(path.read_bytes()).hexdigest()
        digest.update(f"{path.relative_to(ROOT)} {content}\n".encode())
    return digest.hexdigest()


def _built_from() -> str | None:
    try:
        manifest = json.loads((BUILT / "manifest.json").read_bytes())
    except (OSError, ValueError):
        return None
    return str(manifest["built_from"])


class Sent(TypedDict):
    """File -> bytes sent: for those that every phone keeps, and for those of each part."""

    everybody: dict[str, int]
    parts: dict[str, dict[str, int]]


def _sent(out: Path, addresses: dict[str, str], kept: Precache) -> Sent:
    """Return what is sent, the service worker included."""
    sizes = precache.sizes_sent(out)
    names = {address: name for name, address in addresses.items()}

    def sent_of(entries: list[Entry]) -> dict[str, int]:
        paths = {entry["url"]: precache.path_of(out, entry["url"]) for entry in entries}
        return {
            names.get(url, url): sizes[path.relative_to(out).as_posix()]
            for url, path in paths.items()
        }

    everybody = {"service worker": sizes["sw.js"]} | sent_of(kept["entries"])
    return Sent(everybody=everybody, parts={n: sent_of(e) for n, e in kept["parts"].items()})


def _write_manifest(
    out: Path, made_from: str, addresses: dict[str, str], sent: Sent, version: str
) -> None:
    """Write what the server and a curious person want to know about this build."""
    manifest = {
        "built_from": made_from,
        "version": version,
        "core": core_sha256(),
        "addresses": addresses,
        "sent_bytes": sent,
    }
    text = json.dumps(manifest, indent=1, sort_keys=True)
    (out / "manifest.json").write_text(text, encoding="utf-8")
