"""Recalling a calculation core takes two administrators; nothing is ordered from it then (I12)."""

import io
from html import unescape
from typing import Any

import pytest

from tests.desk.conftest import Desk, ReadyCase
from tests.hospital import PASSPHRASE, Hospital, plan_of
from webapp import cores
from webapp.core_bundle import core_sha256
from webapp.flow import desk_record, recalling
from webapp.flow.actor import Actor
from webapp.flow.desk_record import Draft
from webapp.flow.reference import EVERYWHERE
from webapp.flow.refusal import Refused
from webapp.settings import Settings
from webapp.store import journal
from webapp.store.database import writing

PAGE = "/desk/cores"
WHY = "Powers of long eyes come out too strong"


@pytest.fixture
def rook(hospital: Hospital) -> Desk:
    """Return one administrator's browser on the page."""
    return at(hospital, "rook")


def at(hospital: Hospital, name: str) -> Desk:
    """Return somebody's browser on the page."""
    desk = Desk(hospital.client(name))
    desk.get(PAGE)
    return desk


def propose(desk: Desk, **changed: str) -> tuple[int, str]:
    """Propose that the core in use be recalled; return status and page."""
    said = {"core": core_sha256()[:12], "why": WHY, "recall_passphrase": PASSPHRASE, **changed}
    answer = desk.post(PAGE, **said)
    return answer.status_code, unescape(answer.text)


def settle(desk: Desk, what: str, passphrase: str = PASSPHRASE) -> int:
    """Confirm or withdraw the one proposal; return the status."""
    (waiting,) = recalling.pending()
    return desk.post(f"{PAGE}/proposals/{waiting.id}/{what}", passphrase=passphrase).status_code


class TestTwoAdministrators:
    """Who may, and that nothing is done by one."""

    def test_one_proposes_and_another_confirms(self, hospital: Hospital, rook: Desk) -> None:
        """The record names both; the page says who and why."""
        assert propose(rook)[0] == 302
        assert recalling.recalled() == {}
        assert settle(at(hospital, "teal"), "confirm") == 302
        (entry,) = journal.entries_of_kind("all", "core.recalled")
        said = desk_record.payload_of(entry)
        body = {"core": core_sha256(), "why": WHY, "proposed_by": "u-rook"}
        assert (said["body"], said["author"]) == (body, "u-teal")
        page = unescape(rook.get(PAGE).text)
        assert f"{WHY} Proposed by A. Rook, confirmed by P. Teal." in page

    def test_one_alone_is_refused(self, rook: Desk) -> None:
        """By the route, though the page offers them no such button."""
        propose(rook)
        assert "Recall this core" not in rook.get(PAGE).text
        assert settle(rook, "confirm") == 409
        assert recalling.recalled() == {}

    def test_the_core_in_use_is_warned_of(self, hospital: Hospital, rook: Desk) -> None:
        """Before the second administrator ends every planning."""
        propose(rook)
        page = at(hospital, "teal").get(PAGE).text
        assert "This is the core in use" in page and "Recall this core" in page

    def test_not_with_a_wrong_passphrase(self, hospital: Hospital, rook: Desk) -> None:
        """Neither of the two."""
        status, page = propose(rook, recall_passphrase="wrong")
        assert status == 422 and "The passphrase is not right" in page
        assert recalling.pending() == []
        propose(rook)
        assert settle(at(hospital, "teal"), "confirm", "wrong wrong") == 422
        assert recalling.recalled() == {}

    def test_a_refused_proposal_is_gone(self, hospital: Hospital, rook: Desk) -> None:
        """The other administrator need not agree."""
        propose(rook)
        assert settle(at(hospital, "teal"), "withdraw") == 302
        assert recalling.pending() == [] and recalling.recalled() == {}

    def test_a_surgeon_sees_and_recalls_nothing(self, hospital: Hospital) -> None:
        """The list is theirs to read."""
        verrill = at(hospital, "verrill")
        assert "Propose the recall" not in verrill.get(PAGE).text
        assert propose(verrill)[0] == 403

    @pytest.mark.parametrize(
        ("fields", "said"),
        [
            ({"core": "abcdef012345"}, "No one core known here begins so"),
            ({"core": "ab"}, "No one core known here begins so"),
            ({"core": ""}, "Give the name of the core"),
            ({"why": "Bad"}, "ten characters or more"),
            ({"why": ""}, "Say why it is recalled"),
        ],
    )
    def test_what_is_wrong_is_said(self, rook: Desk, fields: dict[str, str], said: str) -> None:
        """At its field; a slip of the name recalls nothing."""
        status, page = propose(rook, **fields)
        assert status == 422 and said in page
        assert recalling.pending() == []

    def test_only_once(self, hospital: Hospital, rook: Desk) -> None:
        """A second reason would leave open which one counts."""
        propose(rook)
        settle(at(hospital, "teal"), "confirm")
        status, page = propose(rook)
        assert status == 422 and "recalled already" in page


class TestWhatFalls:
    """Plans and orders of a recalled core."""

    def test_an_approval_of_it_is_not_ordered_from(
        self, hospital: Hospital, case: ReadyCase, desk: Desk, rook: Desk
    ) -> None:
        """The eye had everything else; the page says why not."""
        propose(rook)
        settle(at(hospital, "teal"), "confirm")
        answer = case.order(desk)
        assert answer.status_code == 409
        page = unescape(desk.get(case.page).text)
        assert f"The calculation that made this was recalled: {WHY}" in page
        assert journal.entries_of_kind("saltpan", "order.placed") == []

    def test_nothing_new_is_planned_with_it(self, hospital: Hospital, case: ReadyCase) -> None:
        """There is nothing to sign."""
        assert plan_of(case.person, "R")["shown"] is not None
        proposal = recalling.propose(hospital.actor("rook"), core_sha256(), WHY, PASSPHRASE)
        recalling.confirm(hospital.actor("teal"), proposal, PASSPHRASE)
        assert plan_of(case.person, "R")["shown"] is None

    def test_another_core_goes_on(self, hospital: Hospital, case: ReadyCase, desk: Desk) -> None:
        """One that was never here is recalled by its whole name, and stops nobody else."""
        proposal = recalling.propose(hospital.actor("rook"), "0" * 64, WHY, PASSPHRASE)
        recalling.confirm(hospital.actor("teal"), proposal, PASSPHRASE)
        assert case.order(desk).status_code == 302


class TestTheRecord:
    """What is refused even where a page or a proposal was got round."""

    @pytest.mark.parametrize(
        ("proposer", "code"),
        [("u-teal", "recall.alone"), ("u-verrill", "recall.proposer"), ("", "record.bad")],
    )
    def test_names_two_administrators(self, hospital: Hospital, proposer: str, code: str) -> None:
        """Signed by the desk for P. Teal."""
        refusal = refused(hospital.actor("teal"), "administrator", proposer)
        assert refusal.code == code

    def test_is_signed_for_by_an_administrator(self, hospital: Hospital) -> None:
        """A surgeon in that role is none."""
        assert refused(hospital.actor("verrill"), "administrator", "u-rook").code == "role.not_held"


def refused(author: Actor, role: str, proposer: str) -> Refused:
    """Have the desk sign a recall and return why it is not taken in."""
    body: dict[str, Any] = {"core": core_sha256(), "why": WHY, "proposed_by": proposer}
    with pytest.raises(Refused) as caught, writing():
        desk_record.write(author, Draft("core.recalled", EVERYWHERE, role, body))
    return caught.value


class TestCommands:
    """The same at the server itself."""

    @pytest.fixture(autouse=True)
    def _here(self, hospital: Hospital, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(Settings, "from_environment", lambda: hospital.settings)

    def recall(
        self, monkeypatch: pytest.MonkeyPatch, *names: str, typed: str = f"{PASSPHRASE}\n" * 2
    ) -> int:
        """Type the command and the passphrases."""
        monkeypatch.setattr("sys.stdin", io.StringIO(typed))
        by = [word for name in names for word in ("--by", name)]
        return cores.recall([core_sha256()[:12], "--reason", WHY, *by])

    def test_two_administrators(
        self, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        """And the list says it then."""
        assert self.recall(monkeypatch, "rook", "teal") == 0
        assert "by A. Rook and P. Teal." in capsys.readouterr().out
        assert cores.main([]) == 0
        assert f"{core_sha256()[:12]}  recalled: {WHY}; plans: 0" in capsys.readouterr().out

    @pytest.mark.parametrize(
        ("names", "typed"),
        [
            (("rook",), f"{PASSPHRASE}\n" * 2),
            (("rook", "Rook"), f"{PASSPHRASE}\n" * 2),
            (("rook", "fenn"), f"{PASSPHRASE}\n" * 2),
            (("rook", "teal"), f"{PASSPHRASE}\nwrong\n"),
        ],
    )
    def test_anybody_else(
        self, monkeypatch: pytest.MonkeyPatch, names: tuple[str, ...], typed: str
    ) -> None:
        """One person twice, a person of the desk, a wrong passphrase: nothing is proposed even."""
        assert self.recall(monkeypatch, *names, typed=typed) == 1
        assert recalling.recalled() == {} and recalling.pending() == []
