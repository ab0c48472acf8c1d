"""Faults of the program: answered without detail, logged without data."""

import logging

import pytest

from tests.hospital import Hospital
from webapp.flow import receive, worklist

CANARY = "ZZQX-CANARY"


def fail(*_about: object, **_more: object) -> None:
    """Fail as a program does, with a person's name in the message."""
    raise ValueError(f"cannot file {CANARY}")


class TestFault:
    """An unexpected error."""

    @pytest.mark.parametrize("address", ["/sync/push", "/desk/"])
    def test_tells_nobody_what_it_was(
        self,
        hospital: Hospital,
        address: str,
        monkeypatch: pytest.MonkeyPatch,
        caplog: pytest.LogCaptureFixture,
    ) -> None:
        """500 with one sentence; the log says where, not what about."""
        client = hospital.client("fenn")
        hospital.app.testing = False
        monkeypatch.setattr(receive, "push", fail)
        monkeypatch.setattr(worklist, "rows", fail)
        monkeypatch.setattr(worklist, "counts", fail)
        with caplog.at_level(logging.DEBUG):
            if address == "/sync/push":
                answer = client.post(address, {"records": [{"p": CANARY}]})
                assert answer.json["code"] == "fault"
            else:
                answer = client.get(f"{address}?q={CANARY}")
        assert answer.status_code == 500
        assert "ValueError" not in answer.text
        assert CANARY not in answer.text
        assert "ValueError" in caplog.text
        assert address in caplog.text
        assert CANARY not in caplog.text

    def test_a_refusal_is_a_problem_document(self, hospital: Hospital) -> None:
        """RFC 9457: type, title, status, detail, and our stable code."""
        answer = hospital.client().get("/sync/keys")
        assert answer.content_type == "application/problem+json"
        assert answer.json == {
            "type": "about:blank",
            "title": "sign in.needed",
            "status": 401,
            "detail": "Sign in first; nothing was lost.",
            "code": "sign_in.needed",
        }
