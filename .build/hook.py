"""Hatch build hook: a wheel carries the browser's files ready-made."""

import sys
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class AssetsHook(BuildHookInterface):
    """Build webapp/built/ before a wheel is packed; an editable install builds by command."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Run the build unless the install is editable."""
        if version == "editable":
            return
        sys.path.insert(0, str(Path(self.root)))
        from webapp.asset_build.build import build_assets

        build_assets()
