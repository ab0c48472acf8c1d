"""The typefaces of the order sheet, from the build's packages."""

from pathlib import Path

import pytest

from webapp.asset_build.bundle import copy_fonts
from webapp.asset_build.node import bring_packages_up_to_date


@pytest.fixture(scope="session")
def sheet_fonts(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with the typefaces that the build gives the server."""
    bring_packages_up_to_date(with_checks=True)
    out = tmp_path_factory.mktemp("sheet")
    copy_fonts(out)
    return out / "fonts"
