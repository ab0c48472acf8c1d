"""Slowing down guesses: each failure from a threshold on doubles the wait, and none locks for ever.

Counted per (name, address) and per address, in this process's memory: a restart forgives, and a
stranger at another address cannot lock a colleague out. A try counts from its beginning, since a
passphrase takes long to compare and many sent at once would all be compared before one had failed.
"""

import threading

from webapp.flow import clock
from webapp.flow.refusal import Refused

FAILURES_PER_NAME = 5
FAILURES_PER_ADDRESS = 40
LONGEST_WAIT_S = 15 * 60
FORGET_AFTER_S = 60 * 60
MOST_KEYS = 20_000
LONGEST_TURN_S = 5
"""How long a try waits for those under way, one of which may never end [s]."""

Key = tuple[str, ...]


class Throttle:
    """Failures by key, with the moment before which a further try is turned away."""

    def __init__(self) -> None:
        self._failures: dict[Key, tuple[int, int]] = {}
        self._tries: dict[Key, int] = {}
        self._lock = threading.Condition()

    def check(self, name: str, address: str) -> None:
        """Begin a try, in turn where those under way may use up what is free.

        ``failed``, ``succeeded`` or ``left_off`` ends it.

        Raises:
            Refused: this name from this address, or this address, has to wait.
        """
        keys = _keys(name, address)
        with self._lock:
            if not self._lock.wait_for(lambda: not self._may_all_fail(keys), LONGEST_TURN_S):
                for key in keys:
                    self._tries.pop(key, None)
            now_s = clock.seconds()
            until_s = max(self._until_s(key, allowed) for key, allowed in keys.items())
            if now_s >= until_s:
                for key in keys:
                    self._tries[key] = self._tries.get(key, 0) + 1
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
            for key in _keys(name, address):
                self._end_try(key)
                count, last_s = self._failures.get(key, (0, now_s))
                if now_s - last_s >= FORGET_AFTER_S:
                    # Or slips of weeks would add up, and one more shut a hospital's address out.
                    count = 0
                self._failures[key] = (count + 1, now_s)

    def succeeded(self, name: str, address: str) -> None:
        """Forget the failures of this name from this address."""
        with self._lock:
            self.left_off(name, address)
            self._failures.pop((name, address), None)

    def left_off(self, name: str, address: str) -> None:
        """End a try in which nothing was compared."""
        with self._lock:
            for key in _keys(name, address):
                self._end_try(key)

    def _may_all_fail(self, keys: dict[Key, int]) -> bool:
        """Say whether a wait would begin if each try that is under way failed."""
        return any(
            self._failures.get(key, (0, 0))[0] + under_way >= allowed
            for key, allowed in keys.items()
            if (under_way := self._tries.get(key, 0))
        )

    def _end_try(self, key: Key) -> None:
        left = self._tries.pop(key, 0) - 1
        if left > 0:
            self._tries[key] = left
        self._lock.notify_all()

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


def _keys(name: str, address: str) -> dict[Key, int]:
    """Return what a try counts for, each with the failures that cost nothing."""
    return {(name, address): FAILURES_PER_NAME, (address,): FAILURES_PER_ADDRESS}
