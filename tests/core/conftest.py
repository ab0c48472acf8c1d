"""What the tests of the core share: each Python that ships it, and an eye with its approval."""

from collections.abc import Iterator

import pytest

from tests.core import records
from tests.core.decided import approval, sent
from tests.core.records import Entry
from tests.core_runtime import RUNTIMES, Core, in_cpython, micropython


@pytest.fixture(scope="session")
def browser_core() -> Iterator[Core]:
    """Call the core in MicroPython, started once for all tests."""
    with micropython() as call:
        yield call


@pytest.fixture(params=RUNTIMES)
def core(request: pytest.FixtureRequest) -> Core:
    """Call a function of the core, once in each Python."""
    if request.param == "cpython":
        return in_cpython
    call: Core = request.getfixturevalue("browser_core")
    return call


@pytest.fixture
def eye() -> list[Entry]:
    """Return a complete eye with its person."""
    return records.whole_eye()


@pytest.fixture
def request_(eye: list[Entry]) -> Entry:
    """Return that eye's request."""
    return sent(eye)


@pytest.fixture
def approved(eye: list[Entry], request_: Entry) -> list[Entry]:
    """Return that eye with a request and a standing approval, the approval last."""
    return [*eye, request_, approval(eye, request_)]
