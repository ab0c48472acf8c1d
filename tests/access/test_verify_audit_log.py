"""Checking the log of who did what, at the server's shell."""

from pathlib import Path

import pytest

from tests.access.test_audit_log import disarm
from tests.hospital import Hospital
from webapp import verify_audit_log
from webapp.flow import audit
from webapp.store import database


def test_whole_cut_off_and_changed(
    at_server: Hospital, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """0 and a count for a whole log; 1 with the event's number for any other."""
    copy = tmp_path / "copy.jsonl"
    audit.copy_to(copy)
    try:
        at_server.client("fenn")
    finally:
        audit.LOGGER.handlers.pop().close()
    assert verify_audit_log.main(["--against", str(copy)]) == 0
    assert "each follows from the one before" in capsys.readouterr().out
    database.connect()
    disarm()
    database.database.execute_sql("DELETE FROM audit_row WHERE event = 'session.began'")
    assert verify_audit_log.main(["--against", str(copy)]) == 1
    assert "of the copy is not in the log" in capsys.readouterr().out
    database.connect()
    database.database.execute_sql("DELETE FROM audit_row WHERE n = 1")
    assert verify_audit_log.main([]) == 1
    assert "The chain breaks at event 2" in capsys.readouterr().out
