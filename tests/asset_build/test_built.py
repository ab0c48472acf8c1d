"""The built files as they lie in webapp/built/: complete, self-contained, what the list says."""

import hashlib
import json
import re
import subprocess
from typing import Any

import pytest

from webapp.asset_build import build, precache
from webapp.asset_build.node import NODE
from webapp.core_bundle import core_files, core_sha256

# Addresses that name a language or a licence and are never asked for.
NAMES_ONLY = ("www.w3.org/",)


@pytest.fixture(scope="module")
def manifest() -> dict[str, Any]:
    """Return the facts of the build."""
    facts: dict[str, Any] = json.loads((build.BUILT / "manifest.json").read_bytes())
    return facts


def precache_list() -> dict[str, Any]:
    """Return the service worker's own list, read out of the built file by Node."""
    script = (build.BUILT / "sw.js").read_text(encoding="utf-8")
    found = re.search(r"\{version:.*?\}\}(?=[;,])|\{version:.*\]\}\}", script)
    assert found, "the built service worker holds no list"
    words = [str(NODE), "-p", f"JSON.stringify({found[0]})"]
    answer = subprocess.run(words, capture_output=True, text=True, check=True).stdout
    listed: dict[str, Any] = json.loads(answer)
    return listed


def kept_entries() -> list[dict[str, Any]]:
    """Return what every phone keeps."""
    entries: list[dict[str, Any]] = precache_list()["entries"]
    return entries


def part_entries(name: str) -> list[dict[str, Any]]:
    """Return what a phone keeps for a part of the app."""
    entries: list[dict[str, Any]] = precache_list()["parts"][name]
    return entries


def imported(script: str) -> set[str]:
    """Return what a built script imports before it can start."""
    text = (build.BUILT / script.removeprefix("/")).read_text(encoding="utf-8")
    return set(re.findall(r"""(?:\bfrom|\bimport)\s*["'](/assets/[^"']+)["']""", text))


class TestBuilt:
    """One build of this working copy."""

    def test_is_of_these_sources(self, manifest: dict[str, Any]) -> None:
        """What is served was made from the files as they are now."""
        assert manifest["built_from"] == build.source_hash()

    def test_carries_the_server_s_core(self, manifest: dict[str, Any]) -> None:
        """The phone's bundle holds the very files that the server imports, under their name."""
        assert manifest["core"] == core_sha256()
        bundle = json.loads((build.BUILT / "core" / f"{core_sha256()}.json").read_bytes())
        assert bundle["files"] == core_files()
        assert len(bundle["selftest"]) >= 10

    def test_the_list_is_true(self) -> None:
        """Each file that the service worker will keep exists and has the hash it expects."""
        for entry in kept_entries() + part_entries("theatre"):
            content = precache.path_of(build.BUILT, entry["url"]).read_bytes()
            assert hashlib.sha256(content).hexdigest() == entry["sha256"], entry["url"]
            assert len(content) == entry["bytes"], entry["url"]

    def test_the_list_is_complete(self, manifest: dict[str, Any]) -> None:
        """Page, style, worker, engine and core are all kept; the desk's own files are not."""
        addresses = manifest["addresses"]
        kept = {entry["url"] for entry in kept_entries()}
        names = ("shell", "main", "css", "worker", "core", "wasm", "micropython", "webmanifest")
        assert {addresses[name] for name in names} <= kept
        assert not kept & {addresses["desk_css"], addresses["desk_js"]}

    def test_a_part_is_whole_and_on_nobody_else_s_phone(self, manifest: dict[str, Any]) -> None:
        """Its scripts, style and code reader are its own; what these import is kept by somebody."""
        addresses = manifest["addresses"]
        part = {entry["url"] for entry in part_entries("theatre")}
        everybody = {entry["url"] for entry in kept_entries()}
        assert {addresses["theatre_css"], addresses["code_reader"]} <= part
        assert not part & everybody
        scripts = [url for url in part | everybody if url.endswith(".js")]
        assert any("/theatre-" in url for url in part)
        for script in scripts:
            there = everybody if script in everybody else everybody | part
            assert imported(script) <= there, script

    def test_asks_nobody_else(self) -> None:
        """No page, style or script of ours names an address of another machine."""
        shell = ("app.html", "sw.js", "app.webmanifest", "assets/main-*.js", "assets/chunk-*.js")
        shell += ("assets/theatre-*.css", "assets/app-*.css")
        for path in [path for name in shell for path in build.BUILT.glob(name)]:
            text = path.read_text(encoding="utf-8")
            addresses = re.findall(r"https?://([^\s\"'`)]+)", text)
            assert [a for a in addresses if not a.startswith(NAMES_ONLY)] == [], path.name

    def test_placeholders_are_filled(self) -> None:
        """The shell holds no mark that the build should have replaced."""
        assert not re.search(r"%[A-Z_]+%", (build.BUILT / "app.html").read_text(encoding="utf-8"))
