"""A browser test that missed a deadline is run once more, alone, and the run says so.

Real browsers and a real server share the machine with everything else on it. One or two that fail
get a second try; more, or any failure outside the browser, is a fault. A test that is named here
again and again is a fault as well: mend it.
"""

import json
from pathlib import Path

BROWSER = ("tests/browser/", "tests/journey/")
AT_MOST = 2


def worth_another_try(cache: Path) -> list[str]:
    """Return the tests of the last run that may be run again; none where that would hide a fault.

    Args:
        cache: pytest's cache folder, in which it notes what failed.
    """
    noted = cache / "v" / "cache" / "lastfailed"
    if not noted.is_file():
        return []
    failed = sorted(json.loads(noted.read_text(encoding="utf-8")))
    only_browser = all(name.startswith(BROWSER) for name in failed)
    return failed if only_browser and len(failed) <= AT_MOST else []
