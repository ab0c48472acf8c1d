"""The ``core`` fixture: one test, run in each Python that ships the core."""

from collections.abc import Iterator

import pytest

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
