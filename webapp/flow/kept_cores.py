"""Older calculation cores, kept by hash in the data folder: what they planned is computed again.

Each is the bundle that phones fetched. One whose text does not give its name is not a kept core.
"""

import json
import os
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from webapp import core_bundle
from webapp.flow.calculation import CoreFailed

LONGEST_S = 30
"""How long a kept core may take for one answer [s]."""

START = (
    "import sys; sys.path.insert(0, sys.argv[1]); from webapp.core import door; "
    "sys.stdout.write(door.call(sys.stdin.read()))"
)
_at: dict[str, Path] = {}


def use(data_dir: Path) -> None:
    """Keep cores below this folder from now on."""
    _at["folder"] = data_dir / "cores"


def keep_current() -> None:
    """Keep the core in use, once.

    Raises:
        OSError: the folder cannot be written.
    """
    path = _path(core_bundle.core_sha256())
    if path.exists():
        return
    path.parent.mkdir(exist_ok=True)
    # Two servers may start at once on one folder; a half-written file must never have the name.
    half = path.with_suffix(f".{os.getpid()}.half")
    half.write_bytes(core_bundle.bundle_bytes())
    half.replace(path)


def is_kept(core: str) -> bool:
    """Say whether a core is kept, whole, under this name (SHA-256)."""
    return _files(core) is not None


def names() -> list[str]:
    """Return the name of every file that is kept as a core, sorted, whole or not."""
    return sorted(path.stem for path in _at["folder"].glob("*.json"))


def ask(core: str, request: dict[str, Any]) -> dict[str, Any]:
    """Return a kept core's answer to one request, computed in a process of its own.

    Raises:
        CoreFailed: it is not kept, answered with an error, or did not answer in time.
    """
    files = _files(core)
    if files is None:
        raise CoreFailed(f"core: {core[:12]} is not kept here")
    answer = _answer(files, json.dumps(request))
    if "error" in answer:
        raise CoreFailed(f"{answer['error']['field']}: {answer['error']['message']}")
    return answer


def _answer(files: dict[str, str], request: str) -> dict[str, Any]:
    with TemporaryDirectory(prefix="lampside-core-") as folder:
        for name, text in files.items():
            path = Path(folder) / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(text.encode("utf-8"))
        # Isolated: neither this program's own core nor anything of the environment gets in.
        words = [sys.executable, "-I", "-B", "-X", "utf8", "-c", START, folder]
        try:
            done = subprocess.run(  # noqa: S603 - our own words, a core named by its hash
                words, input=request, capture_output=True, encoding="utf-8", check=True,
                timeout=LONGEST_S, cwd=folder, env={},
            )  # fmt: skip
            answer: dict[str, Any] = json.loads(done.stdout)
        except subprocess.TimeoutExpired as late:
            raise CoreFailed(f"core: no answer within {LONGEST_S} seconds") from late
        except (subprocess.CalledProcessError, ValueError) as broken:
            raise CoreFailed("core: the kept calculation does not run here") from broken
    return answer


def _files(core: str) -> dict[str, str] | None:
    """Return path -> text of a kept core, None where it is not kept or not whole."""
    try:
        files: dict[str, str] = json.loads(_path(core).read_bytes())["files"]
        is_whole = core_bundle.name_of(files) == core
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None
    # A path that leads elsewhere is in no core of ours.
    return files if is_whole and all(_is_inside(name) for name in files) else None


def _is_inside(name: str) -> bool:
    return not Path(name).is_absolute() and ".." not in Path(name).parts


def _path(core: str) -> Path:
    return _at["folder"] / f"{core}.json"
