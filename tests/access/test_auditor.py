"""The auditor: every case by number, no name without a reason in the log, and no clinical page."""

import pytest

from tests.access.test_audit_log import only
from tests.desk.conftest import Desk, ReadyCase, case
from tests.hospital import Hospital
from webapp.flow import cautions_seen, pseudonymous
from webapp.flow.refusal import NotFound, Refused

__all__ = ["case"]

NAMING = ("Orla Fennimore", "SP-014", "Kettle Sound", "1996", "0555 0100 22")


@pytest.fixture
def birch(hospital: Hospital) -> Desk:
    """Return the auditor's browser."""
    return Desk(hospital.client("birch"))


class TestList:
    """Cases by number."""

    def test_names_nobody(self, case: ReadyCase, birch: Desk) -> None:
        """Number, eye, site, step; nothing of the registration."""
        page = birch.get("/desk/cases").text
        assert case.person[-12:] in page and "Saltpan camp" in page and "right eye" in page
        assert [word for word in NAMING if word in page] == []
        assert "0 stops, 1 caution<" in page

    def test_no_other_page_shows_more(self, case: ReadyCase, birch: Desk) -> None:
        """Worklist empty, person, case and exchange forbidden."""
        assert [word for word in NAMING if word in birch.get("/desk/").text] == []
        for address in (case.page, f"/desk/person/{case.person}", "/sync/pull?site=saltpan"):
            assert birch.get(address).status_code == 403

    def test_is_the_auditors_alone(self, hospital: Hospital, case: ReadyCase) -> None:
        """Neither administrator nor surgeon needs it."""
        for name in ("rook", "verrill", "fenn", "ambler"):
            assert hospital.client(name).get("/desk/cases").status_code == 403


class TestCautions:
    """How often each caution is acknowledged."""

    def test_names_the_caution_and_nobody(self, case: ReadyCase, birch: Desk) -> None:
        """Led to from the list; title, code and numbers, and nothing of the registration."""
        assert "/desk/cases/cautions" in birch.get("/desk/cases").text
        page = birch.get("/desk/cases/cautions").text
        assert "<code>D32.vault</code>" in page and "Too few eyes to say" in page
        assert [word for word in NAMING if word in page] == []

    def test_for_review(
        self, case: ReadyCase, birch: Desk, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Where one eye would be enough, this one caution is for review."""
        monkeypatch.setattr(cautions_seen, "ENOUGH_CASES", 1)
        assert "For review</span>" in birch.get("/desk/cases/cautions").text

    def test_is_the_auditors_alone(self, hospital: Hospital, case: ReadyCase) -> None:
        """As the list that leads to it."""
        for name in ("rook", "verrill", "fenn", "ambler"):
            assert hospital.client(name).get("/desk/cases/cautions").status_code == 403


class TestIdentity:
    """Whose case it is."""

    def test_takes_a_reason_that_is_logged(self, case: ReadyCase, birch: Desk) -> None:
        """Name and code once; who, whose number and why are in the log, and no name."""
        birch.get("/desk/cases")
        page = birch.post(f"/desk/cases/{case.person}/identity", reason="recall").text
        assert "Orla Fennimore" in page and "SP-014" in page
        assert only("identity.opened") == [["u-birch", case.person, "recall"]]

    @pytest.mark.parametrize("reason", ["", "because", "Orla Fennimore"])
    def test_is_not_shown_without_one(self, case: ReadyCase, birch: Desk, reason: str) -> None:
        """None, or one that is not in the list."""
        birch.get("/desk/cases")
        answer = birch.post(f"/desk/cases/{case.person}/identity", reason=reason)
        assert answer.status_code == 422
        assert "Orla Fennimore" not in answer.text
        assert only("identity.opened") == []

    def test_is_refused_below_the_page_too(self, hospital: Hospital, case: ReadyCase) -> None:
        """Whoever calls the step itself."""
        with pytest.raises(Refused, match="needs the role auditor"):
            pseudonymous.identify(hospital.actor("rook"), case.person, "recall")
        with pytest.raises(Refused, match="Choose why"):
            pseudonymous.identify(hospital.actor("birch"), case.person, "x")
        with pytest.raises(NotFound):
            nobody = "0193a5c0-0000-7000-8000-00000000ffff"
            pseudonymous.identify(hospital.actor("birch"), nobody, "recall")
