"""The parts of the app: pages that a phone fetches and keeps only where somebody needs them.

A part is `static/parts/<name>.js` with its style `static/parts/<name>.css`. It shares the chunks of
the app's own bundle and names them by their hashes, as the app names the part: parts and pages of
two releases cannot meet.
"""

from pathlib import Path

from webapp.asset_build.node import STATIC
from webapp.asset_build.precache import Entry, entry_of

Outputs = dict[str, dict[str, object]]
# What a part fetches besides its scripts and its style, by the names of the built files.
ALSO = {"theatre": ("code_reader",)}


def names() -> list[str]:
    """Return the parts there are."""
    return sorted(path.stem for path in (STATIC / "parts").glob("*.js"))


def entries(
    out: Path, outputs: Outputs, main: str, addresses: dict[str, str]
) -> dict[str, list[Entry]]:
    """Return what each part needs that the app's own pages do not bring.

    Args:
        out: where the built files are.
        outputs: what the bundler says it wrote.
        main: address of the bundle of the app's own pages.
        addresses: name of a built file -> its address.
    """
    shared = closure(outputs, main)
    found = {}
    for name in names():
        scripts = closure(outputs, _address_of(outputs, f"parts/{name}.js")) - shared
        also = {addresses[f"{name}_css"], *(addresses[more] for more in ALSO.get(name, ()))}
        found[name] = [entry_of(out, address) for address in sorted(scripts | also)]
    return found


def closure(outputs: Outputs, address: str) -> set[str]:
    """Return a script's address and those of all that it imports before it can start."""
    by_address = {_address(path): output for path, output in outputs.items()}
    found: set[str] = set()
    todo = [address]
    while todo:
        asked = todo.pop()
        if asked in found:
            continue
        found.add(asked)
        imports: list[dict[str, object]] = by_address[asked]["imports"]  # type: ignore[assignment]
        static = [i for i in imports if i["kind"] == "import-statement" and not i.get("external")]
        todo += [_address(str(i["path"])) for i in static]
    return found


def _address_of(outputs: Outputs, entry: str) -> str:
    return next(_address(path) for path, o in outputs.items() if o.get("entryPoint") == entry)


def _address(path: str) -> str:
    return f"/assets/{Path(path).name}"
