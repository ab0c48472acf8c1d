"""The ``core`` fixture: one test, run in each Python that ships the core."""

from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, settings

from tests.core_runtime import RUNTIMES, Core, in_cpython, micropython

# The same examples in each run, and no clock in a verdict: a busy machine is not a failure.
settings.register_profile(
    "repeatable",
    deadline=None,
    derandomize=True,
    database=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("repeatable")


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
