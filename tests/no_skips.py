"""A skipped test is a failed run: what was not checked must not look checked."""

import pytest

skipped: list[str] = []


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
    """Turn a run with a skipped test into a failed one."""
    if skipped and session.exitstatus == pytest.ExitCode.OK:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Name what was skipped."""
    for nodeid in skipped:
        terminalreporter.write_line(f"SKIPPED, which counts as failed: {nodeid}", red=True)
