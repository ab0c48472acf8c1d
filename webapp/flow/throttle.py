"""Slowing down guesses: each failure from a threshold on doubles the wait, and none locks for ever.

Counted per (name, address) and per address, in this process's memory: a restart forgives, and a
stranger at another address cannot lock a colleague out.
"""

import threading

from webapp.flow import clock
from webapp.flow.refusal import Refused

FAILURES_PER_NAME = 5
FAILURES_PER_ADDRESS = 40
LONGEST_WAIT_S = 15 * 60
FORGET_AFTER_S = 60 * 60
MOST_KEYS = 20_000

Key = tuple[str, ...]


class Throttle:
    """Failures by key, with the moment before which a further try is turned away."""

    def __init__(self) -> None:
        self._failures: dict[Key, tuple[int, int]] = {}
        self._lock = threading.Lock()

    def check(self, name: str, address: str) -> None:
        """Raise Refused while this name from this address, or this address, has to wait."""
        now_s = clock.seconds()
        with self._lock:
            until_s = max(
                self._until_s((name, address), FAILURES_PER_NAME),
                self._until_s((address,), FAILURES_PER_ADDRESS),
            )
        if now_s < until_s:
            raise Refused(
                "sign_in.wait",
                f"Too many wrong passphrases. Wait {until_s - now_s} seconds, then try again.",
            )

    def failed(self, name: str, address: str) -> None:
        """Count one failure."""
        now_s = clock.seconds()
        with self._lock:
            self._forget_old(now_s)
            for key in ((name, address), (address,)):
                count, last_s = self._failures.get(key, (0, now_s))
                if now_s - last_s >= FORGET_AFTER_S:
                    # Or slips of weeks would add up, and one more shut a hospital's address out.
                    count = 0
                self._failures[key] = (count + 1, now_s)

    def succeeded(self, name: str, address: str) -> None:
        """Forget the failures of this name from this address."""
        with self._lock:
            self._failures.pop((name, address), None)

    def _until_s(self, key: Key, allowed: int) -> int:
        count, last_s = self._failures.get(key, (0, 0))
        if count < allowed:
            return 0
        doubled_s: int = 2 ** min(count - allowed, 20)
        return last_s + min(doubled_s, LONGEST_WAIT_S)

    def _forget_old(self, now_s: int) -> None:
        if len(self._failures) < MOST_KEYS:
            return
        self._failures = {
            key: value for key, value in self._failures.items() if now_s - value[1] < FORGET_AFTER_S
        }
