"""Every test here may ask for a hospital of its own."""

from tests.hospital import hospital, quick_hash

__all__ = ["hospital", "quick_hash"]
