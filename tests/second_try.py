"""A browser test that missed a deadline is run once more, alone, and the run says so.

Real browsers and a real server share the machine with everything else on it. One or two that fail
get a second try; more, or any failure outside the browser, is a fault. A test that is named here
again and again is a fault as well: mend it.
"""

import json
from pathlib import Path

BROWSER = ("tests/browser/", "tests/journey/")
AT_MOST = 2


def worth_another_try(*caches: Path) -> list[str]:
    """Return the tests of the last run that may be run again; none where that would hide a fault.

    Args:
        caches: pytest's cache folders, in which it notes what failed: one of each part of the run.
    """
    failed = sorted(name for cache in caches for name in _failed(cache))
    only_browser = all(name.startswith(BROWSER) for name in failed)
    return failed if only_browser and len(failed) <= AT_MOST else []


def _failed(cache: Path) -> list[str]:
    noted = cache / "v" / "cache" / "lastfailed"
    return list(json.loads(noted.read_text(encoding="utf-8"))) if noted.is_file() else []
