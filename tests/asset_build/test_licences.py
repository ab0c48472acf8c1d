"""The page of licences names what is in the built files, what is compiled into a package too."""

from pathlib import Path

from webapp.asset_build import licences


def test_each_licence_is_there_with_its_text(tmp_path: Path) -> None:
    """The code reader's own licence and that of the library within it (its README names both)."""
    licences.write(tmp_path)
    text = (tmp_path / "licences.txt").read_text(encoding="utf-8")
    _, wrapper, within = text.split("zxing-", 2)
    assert wrapper.startswith("wasm ")
    assert "MIT License" in wrapper
    assert within.startswith("cpp, compiled into zxing-wasm")
    # The first and the last of the licence's nine numbered sections.
    assert "1. Definitions." in within
    assert "9. Accepting Warranty or Additional Liability." in within
    assert "esbuild" not in text
