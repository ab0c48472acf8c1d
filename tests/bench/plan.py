"""A plan on the phone against the same plan on the server, of the same eye.

The browser's throttling reaches no worker, so the core is loaded on a test page's main thread.
"""

import json
from collections.abc import Callable, Iterator
from time import perf_counter

from playwright.sync_api import Page, sync_playwright

from demo_fixtures import reference as demo
from demo_fixtures.people import PEOPLE
from tests.bench import figures, tiny_site
from tests.bench.browser import SLOWED, Throttle
from tests.bench.camp_records import CampPhone, plan_request, whole_person
from tests.bench.figures import Line
from tests.chromium import find
from webapp.core import door
from webapp.settings import BUILT

ROUNDS = 15
AIM = "under 30 x, and under 100 ms at 4 x"
REFERENCE = {
    "catalogue": {"id": "a" * 64, "body": demo.catalogue()},
    "limits": {"id": "b" * 64, "body": demo.adopted_limits()},
}
Timed = Callable[[str], tuple[float, str]]


def run(_rows: int) -> Iterator[Line]:
    """Measure a plan in CPython, on a page's main thread at both paces, and in the worker."""
    text = request_text()
    with sync_playwright() as playwright, tiny_site.served(site()) as address:
        browser = playwright.chromium.launch(executable_path=find(), args=["--no-sandbox"])
        page = browser.new_page()
        page.goto(f"{address}/plan.html")
        page.wait_for_function("() => globalThis.isReady === true", timeout=60_000)
        yield from measure(page, text)
        browser.close()


def measure(page: Page, text: str) -> Iterator[Line]:
    """Yield the lines of this benchmark, from rounds that take each place in turn."""
    throttle = Throttle(page)
    slowed_by = throttle.measured()
    slowly_ms, at_pace_ms, worker_ms, here_ms = [], [], [], []
    for _ in range(ROUNDS):
        here_ms.append(timed(in_cpython, text))
        throttle.slow_down(SLOWED)
        slowly_ms.append(timed(asking(page, "onMainThread"), text))
        throttle.slow_down(1)
        at_pace_ms.append(timed(asking(page, "onMainThread"), text))
        worker_ms.append(timed(asking(page, "inWorker"), text))
    about = {"other": "CPython, not slowed", "request_bytes": len(text)}
    slowed = {"slowed_by": SLOWED, "slowed_by_measured": slowed_by, "aim": AIM}
    where = {"ours": "MicroPython on the page's main thread"}
    yield figures.ratio("plan.main_thread_4x", slowly_ms, here_ms, {**where, **slowed, **about})
    yield figures.ratio("plan.main_thread", at_pace_ms, here_ms, {**where, **about})
    where = {"ours": "MicroPython in the app's worker, there and back"}
    yield figures.ratio("plan.worker", worker_ms, here_ms, {**where, **about})


def timed(ask: Timed, text: str) -> float:
    """Return the shorter of two runs [ms]: the first may have found the caches cold."""
    answers = [ask(text) for _ in range(2)]
    for _, answer in answers:
        if json.loads(answer).get("possible") != 1:
            raise RuntimeError(f"no plan came back: {answer[:300]}")
    return min(took_ms for took_ms, _ in answers)


def in_cpython(text: str) -> tuple[float, str]:
    """Ask the core here."""
    began_s = perf_counter()
    answer = door.call(text)
    return (perf_counter() - began_s) * 1000.0, answer


def asking(page: Page, function: str) -> Timed:
    """Return a way to ask the core on a page."""

    def ask(text: str) -> tuple[float, str]:
        took_ms, answer = page.evaluate(f"(text) => {function}(text)", text)
        return took_ms, answer

    return ask


def request_text() -> str:
    """Return the plan asked for: a person of the demo with every reading of both eyes."""
    phone = CampPhone("u-ambler", "saltpan")
    made = whole_person(phone, PEOPLE[0], PEOPLE[0].person, REFERENCE)
    known = [record for record in made if record.payload["kind"] != "plan.request"]
    return json.dumps(plan_request(known, REFERENCE, "R"))


def site() -> dict[str, bytes]:
    """Return the test page's files and the app's own engine, core and worker."""
    built = json.loads((BUILT / "manifest.json").read_bytes())
    named = {
        "micropython": built["addresses"]["micropython"], "wasmUrl": built["addresses"]["wasm"],
        "workerUrl": built["addresses"]["worker"], "coreUrl": built["addresses"]["core"],
    }  # fmt: skip
    files = {f"/{path.name}": path.read_bytes() for path in tiny_site.PAGES.glob("plan.*")}
    files |= {address: (BUILT / address.lstrip("/")).read_bytes() for address in named.values()}
    return {**files, "/built.json": json.dumps({**named, "sha256": built["core"]}).encode()}
