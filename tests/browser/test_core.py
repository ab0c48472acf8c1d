"""The calculation core in Chromium's worker: the same answers as on the server."""

import pytest
from playwright.sync_api import Playwright

from tests.bench import tiny_site
from tests.bench.plan import site
from tests.chromium import find
from tests.differential import compare
from webapp.core import door

pytestmark = pytest.mark.browser

SEED, EYES, AT_ONCE = 20261125, 300, 30
IN_WORKER = """async (texts) => {
  const answers = [];
  for (const text of texts) answers.push((await inWorker(text))[1]);
  return answers;
}"""


def test_random_eyes_in_the_worker(playwright: Playwright) -> None:
    """Case file, plan and working of 300 random eyes: not one integer or text apart."""
    requests = list(compare.texts(compare.Run(SEED, EYES), range(EYES)))
    answers: list[str] = []
    browser = playwright.chromium.launch(executable_path=find(), args=["--no-sandbox"])
    with tiny_site.served(site()) as address:
        page = browser.new_page()
        page.goto(f"{address}/plan.html")
        page.wait_for_function("() => globalThis.isReady === true", timeout=60_000)
        for start in range(0, len(requests), AT_ONCE):
            answers += page.evaluate(IN_WORKER, requests[start : start + AT_ONCE])
        browser.close()
    found = [
        difference
        for place, (text, there) in enumerate(zip(requests, answers, strict=True))
        for difference in compare.judged(
            place // len(compare.DOORS),
            compare.DOORS[place % len(compare.DOORS)],
            door.call(text),
            there,
        )
    ]
    assert [one.text() for one in found] == []
    assert sum('"possible": 1' in answer for answer in answers) > EYES // 2
