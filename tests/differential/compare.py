"""Asks both Pythons the same and says where they differ."""

import json
import subprocess
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from queue import Queue
from threading import Thread
from typing import Any, NamedTuple

from tests.core_runtime import ROOT, package_folder, shipped_files
from tests.differential import eyes
from webapp.core import door

BRIDGE = Path(__file__).parent / "door_bridge.py"
DOORS = ("fold", "plan", "working")
"""What is asked about each eye, in this order."""
AHEAD = 64
"""Requests waiting for each process of the other Python, which is the slower one."""
ENGINES = 2
"""Processes of the other Python. One keeps this Python waiting; a third found nothing to do."""


class Difference(NamedTuple):
    """Where two answers part."""

    number: int
    """Of the eye."""
    do: str
    path: str
    here: object
    there: object

    def text(self) -> str:
        """Return one line about it."""
        here, there = (json.dumps(value)[:200] for value in (self.here, self.there))
        return f"eye {self.number}, {self.do} at {self.path or 'the top'}: {here} | {there}"


class Tally(NamedTuple):
    """What a run found."""

    eyes: int
    planned: int
    """Eyes that got a plan with a lens; the others were refused or had something missing."""
    differences: list[Difference]


class Run(NamedTuple):
    """Which eyes are compared, and how much about each."""

    seed: int
    eyes: int
    """How many."""
    start: int = 0
    """Number of the first; a run that was cut short goes on from the last number it printed."""
    working_every: int = 1
    """Of every so many eyes one is asked for its working too. It is the plan's own calls again."""
    fold_every: int = 1
    """Likewise for the case file: it judges both eyes by the rules that the plan asks of one."""

    def numbers(self, engine: int) -> range:
        """Return the eyes that one process of the other Python gets."""
        return range(self.start + engine, self.start + self.eyes, ENGINES)

    def doors(self, number: int) -> tuple[str, ...]:
        """Return what is asked about one eye."""
        every = {"fold": self.fold_every, "plan": 1, "working": self.working_every}
        return tuple(do for do in DOORS if number % every[do] == 0)


def run(asked: Run) -> Iterator[tuple[int, bool, list[Difference]]]:
    """Yield each eye's number, whether it got a lens, and its differences, in order."""
    with ExitStack() as engines:
        answered = [
            engines.enter_context(asked_elsewhere(texts(asked, asked.numbers(engine))))
            for engine in range(ENGINES)
        ]
        for number in range(asked.start, asked.start + asked.eyes):
            found, has_lens = [], False
            for do in asked.doors(number):
                text, there = next(answered[(number - asked.start) % ENGINES])
                here = door.call(text)
                has_lens = has_lens or '"recommended": {' in here
                found += judged(number, do, here, there)
            yield number, has_lens, found


def texts(asked: Run, numbers: range) -> Iterator[str]:
    """Yield every request about some eyes as it crosses the door."""
    for number in numbers:
        requests = {request["do"]: request for request in eyes.requests(asked.seed, number)}
        for do in asked.doors(number):
            yield json.dumps(requests[do])


def tally(asked: Run) -> Tally:
    """Return what a whole run found."""
    outcomes = list(run(asked))
    found = [one for _, _, differences in outcomes for one in differences]
    return Tally(len(outcomes), sum(has_lens for _, has_lens, _ in outcomes), found)


def judged(number: int, do: str, here: str, there: str) -> list[Difference]:
    """Return the first difference of two answers, or a fault that both of them had."""
    ours, theirs = json.loads(here), json.loads(there)
    path = parting(ours, theirs, "")
    if path is not None:
        return [Difference(number, do, path, at(ours, path), at(theirs, path))]
    if isinstance(ours, dict) and "error" in ours and ours["error"]["field"] is None:
        return [Difference(number, do, "error", ours["error"], "a fault in both")]
    return []


def parting(here: object, there: object, path: str) -> str | None:
    """Return the path to the first place where two answers differ, or None.

    A float never agrees: what leaves the door is whole numbers and texts.
    """
    if isinstance(here, dict) and isinstance(there, dict) and here.keys() == there.keys():
        pairs = [(f"{path}/{name}", here[name], there[name]) for name in sorted(here)]
    elif isinstance(here, list) and isinstance(there, list) and len(here) == len(there):
        places = range(len(here))
        pairs = [(f"{path}/{place}", here[place], there[place]) for place in places]
    else:
        same = type(here) is type(there) and here == there and not isinstance(here, float)
        return None if same else path
    return next((found for at, a, b in pairs if (found := parting(a, b, at)) is not None), None)


def at(value: Any, path: str) -> object:  # noqa: ANN401
    """Return the part of an answer at a path."""
    for name in path.split("/")[1:]:
        value = value[int(name)] if isinstance(value, list) else value[name]
    return value


@contextmanager
def asked_elsewhere(requests: Iterator[str]) -> Iterator[Iterator[tuple[str, str]]]:
    """Ask MicroPython under Node, in one process, a little ahead; yield requests with answers.

    Raises:
        RuntimeError: MicroPython stopped; its own words are in the message.
    """
    files = ["core_bridge.py", str(BRIDGE), *shipped_files()[2:]]
    process = subprocess.Popen(
        ["node", str(ROOT / "tests" / "core_runtime.mjs"), str(package_folder()), *files],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    waiting: Queue[str] = Queue(AHEAD)
    Thread(target=send, args=(process, requests, waiting), daemon=True).start()
    try:
        yield answers(process, waiting)
    finally:
        process.kill()
        process.communicate()


def send(process: "subprocess.Popen[str]", requests: Iterator[str], waiting: "Queue[str]") -> None:
    """Write each request to the other Python as soon as there is room."""
    assert process.stdin is not None
    try:
        for text in requests:
            waiting.put(text)
            process.stdin.write(text + "\n")
            process.stdin.flush()
    except (BrokenPipeError, ValueError):
        return  # The other end is closed; whoever reads says why.


def answers(process: "subprocess.Popen[str]", waiting: "Queue[str]") -> Iterator[tuple[str, str]]:
    """Yield each request with the other Python's answer."""
    assert process.stdout is not None
    assert process.stderr is not None
    for line in process.stdout:
        yield waiting.get(), line
    raise RuntimeError(process.stderr.read())
