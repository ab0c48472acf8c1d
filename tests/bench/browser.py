"""Chromium as the benchmarks use it, and how it is slowed down to a cheap phone's pace."""

from playwright.sync_api import CDPSession, Page

SLOWED = 4
"""Chromium's own CPU throttling. It slows a page's main thread and reaches no worker."""

# A fixed amount of plain work; its two times tell what the throttling really did.
WORK = """() => {
  const began = performance.now();
  let value = 1;
  for (let index = 0; index < 5e6; index += 1) value = (value * 16807) % 2147483647;
  return [performance.now() - began, value];
}"""


class Throttle:
    """The pace of one page."""

    def __init__(self, page: Page) -> None:
        self._page = page
        self._session: CDPSession = page.context.new_cdp_session(page)

    def slow_down(self, rate: float) -> None:
        """Slow the page's main thread down by this factor; 1 is its own pace."""
        self._session.send("Emulation.setCPUThrottlingRate", {"rate": rate})

    def measured(self) -> float:
        """Return how many times longer fixed work takes when slowed down, as measured."""
        self.slow_down(1)
        own_ms = self._work_ms()
        self.slow_down(SLOWED)
        return self._work_ms() / own_ms

    def _work_ms(self) -> float:
        return min(float(self._page.evaluate(WORK)[0]) for _ in range(3))
