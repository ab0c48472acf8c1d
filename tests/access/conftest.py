"""Every test here may ask for a hospital of its own, and for a terminal at its server."""

from tests.access.shell import at_server, shell
from tests.hospital import hospital, prepared, quick_hash

__all__ = ["at_server", "hospital", "prepared", "quick_hash", "shell"]
