"""A skipped test is a failed run: what was not checked must not look checked."""

import pytest

skipped: list[str] = []
# None of pytest's own codes, so that nobody takes it for a failure that may be tried again.
SKIPPED = 6


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    """Remember each test that was skipped or expected to fail."""
    if report.skipped:
        skipped.append(report.nodeid)


def pytest_collectreport(report: pytest.CollectReport) -> None:
    """Remember each module that skipped itself while it was being read."""
    if report.skipped:
        skipped.append(report.nodeid)


@pytest.hookimpl(tryfirst=True)
def pytest_sessionfinish(session: pytest.Session) -> None:
    """Turn a run with a skipped test into a failed one, of a code of its own."""
    if skipped:
        session.exitstatus = SKIPPED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Name what was skipped."""
    for nodeid in skipped:
        terminalreporter.write_line(f"SKIPPED, which counts as failed: {nodeid}", red=True)
