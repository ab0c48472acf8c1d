"""From a closed browser to a usable list with no server, against a bare page kept the same way.

One phone profile keeps both: the app with sixty people of one camp, calculated once, and a page
with sixty plain rows behind the smallest service worker. Both servers are stopped; for each
measurement the browser is launched again and its first page is slowed down.
"""

from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from playwright.sync_api import sync_playwright

from tests.bench import camp_records, figures, hospital, tiny_site
from tests.bench.browser import SLOWED, Throttle
from tests.bench.figures import Line
from tests.bench.senders import BATCH
from tests.browser.phone import Phone, unlock
from webapp.flow import receive
from webapp.store import journal

PEOPLE = 60
CAMP, TITLE, WHO = "north-quay", "North Quay camp", "ambler"
PATIENT_MS = 180_000
ROUNDS = 5
AIM = "absolute time under 1000 ms"
WATCH = (tiny_site.PAGES / "watch_list.js").read_text(encoding="utf-8")
# What a person takes to type the passphrase is not the app's time; opening the lock by it is.
MACHINE_MS = """() => globalThis.askedMs === undefined
  ? globalThis.listMs
  : globalThis.askedMs + globalThis.listMs - globalThis.givenMs"""
SUMMARIES = """() => new Promise((resolve, reject) => {
  const request = indexedDB.open("lampside");
  request.onerror = () => reject(request.error);
  request.onsuccess = () => {
    const database = request.result;
    const counted = database.transaction("summaries").objectStore("summaries").count();
    counted.onsuccess = () => {
      database.close();
      resolve(counted.result);
    };
  };
})"""


def run(_rows: int) -> Iterator[Line]:
    """Measure both starts in turn."""
    with TemporaryDirectory(prefix="lampside-bench-") as folder, sync_playwright() as playwright:
        data_dir = Path(folder) / "data"
        with hospital.prepared(data_dir) as reference:
            add_people(reference)
        with hospital.serving(data_dir) as base:
            phone = Phone(playwright, Path(folder) / "profile", base.address)
            keep_app(phone)
            with tiny_site.served(bare_site()) as bare:
                keep_bare(phone, f"{bare}/bare.html")
            phone.close()
        # Nobody listens at either address from here on.
        addresses = (f"{base.address}/app/#/people", f"{bare}/bare.html")
        starts = [[start(phone, address) for address in addresses] for _ in range(ROUNDS)]
    yield line(starts)


def add_people(reference: dict[str, Any]) -> None:
    """Measure people at the camp, in the open database, until there are sixty."""
    phone = hospital.enrolled(WHO, CAMP)
    already = {entry.person for entry in journal.entries_after(CAMP, 0, 100_000)}
    people = camp_records.people(phone, reference)
    made = [record for _ in range(PEOPLE - len(already)) for record in next(people)]
    actor = hospital.actor_named(WHO)
    for at in range(0, len(made), BATCH):
        batch = [record.envelope() for record in made[at : at + BATCH]]
        refused = [receipt.reason for receipt in receive.push(actor, batch) if receipt.reason]
        if refused:
            raise RuntimeError(str(refused[0]))


def keep_app(phone: Phone) -> None:
    """Sign in, fetch everybody, wait until each was calculated and the app is on the phone."""
    page = phone.sign_in(WHO, TITLE)
    phone.wait_until_offline_ready(page)
    page.locator("ul.people > li").nth(PEOPLE - 1).wait_for(timeout=PATIENT_MS)
    calculated = f"async () => (await ({SUMMARIES})()) >= {PEOPLE}"
    page.wait_for_function(calculated, timeout=PATIENT_MS)
    page.close()


def bare_site() -> dict[str, bytes]:
    """Return the bare page, with as many rows as the list has, and its service worker."""
    page = (tiny_site.PAGES / "bare.html").read_text(encoding="utf-8")
    rows = "".join(f"<li>Person {number}</li>" for number in range(PEOPLE))
    worker = (tiny_site.PAGES / "bare_sw.js").read_bytes()
    return {"/bare.html": page.replace("%ROWS%", rows).encode(), "/bare_sw.js": worker}


def keep_bare(phone: Phone, address: str) -> None:
    """Open the bare page and wait until its service worker has kept it."""
    page = phone.context.new_page()
    page.goto(address)
    phone.wait_until_offline_ready(page)
    page.close()


def start(phone: Phone, address: str) -> tuple[float, float]:
    """Launch the browser and open one page.

    Returns:
        The time from the start of the navigation until the whole list was painted, without the
        time that a passphrase takes to type but with opening the lock by it [ms], and how
        many times slower the page's main thread really was.
    """
    phone.relaunch()
    page = phone.context.pages[0]
    throttle = Throttle(page)
    throttle.slow_down(SLOWED)
    page.add_init_script(f"globalThis.wantedRows = {PEOPLE};\n{WATCH}")
    page.goto(address)
    if "/app/" in address:
        page.wait_for_function("() => globalThis.askedMs !== undefined", timeout=PATIENT_MS)
        unlock(page)
    page.wait_for_function("() => globalThis.listMs !== undefined", timeout=PATIENT_MS)
    took_ms = float(page.evaluate(MACHINE_MS))
    slowed_by = throttle.measured()
    phone.close()
    return took_ms, slowed_by


def line(starts: list[list[tuple[float, float]]]) -> Line:
    """Return the line of this benchmark."""
    app_ms, bare_ms = ([one[place][0] for one in starts] for place in (0, 1))
    slowed_by = [slower for one in starts for _, slower in one]
    about = {
        "ours": f"list of {PEOPLE} people painted, no server, browser just launched, lock opened",
        "other": f"bare page of {PEOPLE} rows behind a small service worker, likewise",
        "slowed_by": SLOWED, "slowed_by_measured": figures.spread(slowed_by), "aim": AIM,
    }  # fmt: skip
    return figures.ratio("offline.cold_start_4x", app_ms, bare_ms, about)
