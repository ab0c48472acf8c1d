"""These tests need a PostgreSQL: the lane of that name starts one and names it."""

import os

from tests.hospital import hospital, prepared, quick_hash
from tests.postgresql.databases import SERVER

__all__ = ["hospital", "prepared", "quick_hash"]

collect_ignore_glob = [] if os.environ.get(SERVER) else ["test_*.py"]
