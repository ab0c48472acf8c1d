"""One hashed file for each part of the offline app, by esbuild.

The order matters, since each part is told the addresses of those made before it: MicroPython and
the core, then the worker that runs them, then the page that starts the worker.
"""

import hashlib
import json
import re
import shutil
from pathlib import Path
from typing import NamedTuple

from webapp.asset_build import icons, parts
from webapp.asset_build.node import PACKAGES, STATIC, run_node
from webapp.asset_build.precache import Entry, Precache
from webapp.core_bundle import bundle_bytes, core_sha256

MICROPYTHON = "@micropython/micropython-webassembly-pyscript/micropython.mjs"
CODE_READER = "zxing-wasm/dist/reader/zxing_reader.wasm"
ICON = re.compile(r"(?:/assets/|/static/|\./|/)?icons/([A-Za-z0-9_.-]+)")
ESBUILD = str(PACKAGES / "esbuild" / "bin" / "esbuild")
# Latin, Greek and Cyrillic; the other two are asked for what the first lacks.
FONTS = {
    "noto-sans": "NotoSans",
    "noto-sans-devanagari": "NotoSansDevanagari",
    "noto-naskh-arabic": "NotoNaskhArabic",
}
COMMON = ["--bundle", "--format=esm", "--minify", "--target=es2022", "--legal-comments=none"]


class Made(NamedTuple):
    """What was written for the app: name -> address, and what each part needs beside the pages."""

    addresses: dict[str, str]
    parts: dict[str, list[Entry]]


def make_all(out: Path) -> Made:
    """Write all that the app consists of, but the service worker, under ``out``."""
    addresses = {f"icons/{p.name}": keep(p, out) for p in sorted((STATIC / "icons").glob("*"))}
    addresses |= draw_icons(out)
    addresses |= make_core(out)
    addresses["worker"] = run_esbuild(out, "core_worker=./core/worker.js", addresses)
    addresses["css"] = run_esbuild(out, "app.css", addresses)
    addresses["code_reader"] = keep(PACKAGES / CODE_READER, out)
    for name in parts.names():
        addresses[f"{name}_css"] = run_esbuild(out, f"parts/{name}.css", addresses)
    addresses["main"], outputs = run_esbuild_in_chunks(out, "main.js", addresses)
    shared = parts.closure(outputs, addresses["main"]) - {addresses["main"]}
    addresses["shell"] = fill_in(out, "app.html", "/app/", addresses, sorted(shared))
    addresses["webmanifest"] = fill_in(out, "app.webmanifest", "/app.webmanifest", addresses)
    return Made(addresses, parts.entries(out, outputs, addresses["main"], addresses))


def draw_icons(out: Path) -> dict[str, str]:
    """Write the app's picture at each size a phone asks for."""
    drawn = {picture.name: icons.png(picture) for picture in icons.PICTURES}
    return {
        f"icons/{name}": write_hashed(out, Path(name).stem, ".png", content)
        for name, content in drawn.items()
    }


def make_core(out: Path) -> dict[str, str]:
    """Write the calculation core and the engine that runs it."""
    (out / "core").mkdir(parents=True)
    (out / "core" / f"{core_sha256()}.json").write_bytes(bundle_bytes())
    engine = PACKAGES / MICROPYTHON
    flags = ["--minify", "--legal-comments=none", "--log-level=warning"]
    script = run_node([ESBUILD, str(engine), *flags])
    return {
        "core": f"/core/{core_sha256()}.json",
        "wasm": keep(engine.with_suffix(".wasm"), out),
        "micropython": write_hashed(out, "micropython", ".js", script.encode("utf-8")),
    }


def run_esbuild(out: Path, entry: str, addresses: dict[str, str]) -> str:
    """Bundle one entry point into one file and return its address."""
    return _run_esbuild(out, entry, addresses, [])[0]


def run_esbuild_in_chunks(
    out: Path, entry: str, addresses: dict[str, str]
) -> tuple[str, parts.Outputs]:
    """Bundle one entry point, what it imports later in files of their own; return all that."""
    return _run_esbuild(out, entry, addresses, ["--splitting", "--chunk-names=[name]-[hash]"])


def _run_esbuild(
    out: Path, entry: str, addresses: dict[str, str], more: list[str]
) -> tuple[str, parts.Outputs]:
    facts = out / "esbuild.json"
    where = [f"--outdir={out / 'assets'}", "--entry-names=[name]-[hash]", "--public-path=/assets"]
    # The engine stays a file of its own, so that a change of ours does not send it again.
    engine = [f"--alias:{MICROPYTHON}={addresses['micropython']}", "--external:/assets/*"]
    pictures = ["--loader:.svg=file", "--loader:.png=file", "--asset-names=[name]-[hash]"]
    names = [f"--define:__BUILD__={json.dumps(build_names(addresses))}"]
    quiet = [f"--metafile={facts}", "--log-level=warning"]
    run_node([ESBUILD, entry, *COMMON, *where, *engine, *pictures, *names, *quiet, *more])
    outputs: parts.Outputs = json.loads(facts.read_bytes())["outputs"]
    facts.unlink()
    source = entry.rpartition("=")[2].removeprefix("./")
    made = next(path for path, o in outputs.items() if o.get("entryPoint") == source)
    return f"/assets/{Path(made).name}", outputs


def make_desk(out: Path, addresses: dict[str, str]) -> dict[str, str]:
    """Write what only the desk's pages link; a phone keeps none of it."""
    return {
        "desk_css": run_esbuild(out, "desk.css", addresses),
        "desk_js": run_esbuild(out, "desk.js", addresses),
        "scan_js": run_esbuild(out, "scan.js", addresses),
    }


def build_names(addresses: dict[str, str]) -> dict[str, str | dict[str, str]]:
    """Return what page and worker know as ``__BUILD__``."""
    styles = {name: addresses.get(f"{name}_css", "") for name in parts.names()}
    return {
        "partStyles": styles,
        "coreUrl": addresses["core"],
        "coreSha256": core_sha256(),
        "wasmUrl": addresses["wasm"],
        "workerUrl": addresses.get("worker", ""),
        "readerUrl": addresses.get("code_reader", ""),
    }


def make_service_worker(out: Path, precache: Precache) -> None:
    """Bundle sw.js with the list of what it keeps."""
    names = [f"--define:__PRECACHE__={json.dumps(precache)}"]
    target = [f"--outfile={out / 'sw.js'}", "--log-level=warning"]
    run_node([ESBUILD, "sw.js", *COMMON, "--format=iife", *names, *target])


def fill_in(
    out: Path, name: str, address: str, addresses: dict[str, str], soon: list[str] | None = None
) -> str:
    """Copy a page with the addresses of its parts put in; return the page's own address.

    ``soon`` names the scripts that the first one asks for, so that they are fetched beside it.
    """
    text = (STATIC / name).read_text(encoding="utf-8")
    links = [f'<link rel="modulepreload" href="{script}" />' for script in soon or []]
    text = text.replace("%SOON%", "\n    ".join(links))
    for mark in ("main", "css"):
        text = text.replace(f"%{mark.upper()}%", addresses[mark])
    text = ICON.sub(lambda found: addresses[f"icons/{found[1]}"], text)
    (out / name).write_text(text, encoding="utf-8")
    return address


def keep(path: Path, out: Path) -> str:
    """Copy a file under a name that holds its hash."""
    return write_hashed(out, path.stem, path.suffix, path.read_bytes())


def write_hashed(out: Path, stem: str, suffix: str, content: bytes) -> str:
    """Write ``content`` under a name that holds its hash; return its address."""
    name = f"{stem}-{hashlib.sha256(content).hexdigest()[:12]}{suffix}"
    (out / "assets").mkdir(parents=True, exist_ok=True)
    (out / "assets" / name).write_bytes(content)
    return f"/assets/{name}"


def copy_fonts(out: Path) -> None:
    """Copy the typefaces of the order sheet, which only the server uses."""
    (out / "fonts").mkdir(parents=True)
    for source in sorted((PACKAGES / "@expo-google-fonts").glob("*/*/*_[47]00*.ttf")):
        family, weight = source.stem.split("_", 1)
        if weight in ("400Regular", "700Bold"):
            shutil.copyfile(source, out / "fonts" / f"{family}-{weight[3:]}.ttf")
