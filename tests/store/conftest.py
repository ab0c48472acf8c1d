"""Every test here may ask for a hospital of its own."""

from tests.hospital import hospital, prepared, quick_hash

__all__ = ["hospital", "prepared", "quick_hash"]
