"""What takes two people: who proposes, who confirms, and that nothing is done by one alone."""

import pytest

from tests.access.test_audit_log import only
from tests.access.test_sign_in import Later, later
from tests.desk.conftest import Desk
from tests.hospital import PASSPHRASE, Hospital
from webapp.flow import granting, people, two_people
from webapp.flow.actor import RoleAt
from webapp.flow.people import NewUser
from webapp.flow.refusal import NotFound, Refused

__all__ = ["later"]

SURGEON = RoleAt("surgeon", "saltpan")


def proposed(hospital: Hospital, user_id: str = "u-quill", role: RoleAt = SURGEON) -> str:
    """Have A. Rook propose a role and return the proposal's id."""
    assert not granting.give(hospital.actor("rook"), user_id, role, PASSPHRASE)
    return granting.pending()[-1][0].id


def holds(user_id: str, role: RoleAt = SURGEON) -> bool:
    """Say whether an account holds a role."""
    return role in granting.roles_of(user_id)


class TestSurgeon:
    """The role that approves lenses."""

    def test_is_held_once_another_administrator_confirmed(self, hospital: Hospital) -> None:
        """One alone gives nothing; the other sees who proposed what, and confirms."""
        proposal = proposed(hospital)
        assert not holds("u-quill")
        assert [(p.by_name, role) for p, role in granting.pending()] == [("A. Rook", SURGEON)]
        granting.confirm(hospital.actor("teal"), proposal, PASSPHRASE)
        assert holds("u-quill")
        assert granting.pending() == []
        assert only("proposal.made") == [["u-rook", "u-quill", "role.give:surgeon@saltpan"]]
        assert only("role.given")[-1] == ["u-teal", "u-quill", "surgeon@saltpan"]

    def test_is_not_confirmed_by_who_proposed_it(self, hospital: Hospital) -> None:
        """Nor by anybody who is no administrator, nor with a wrong passphrase."""
        proposal = proposed(hospital)
        with pytest.raises(Refused, match="proposed this yourself"):
            granting.confirm(hospital.actor("rook"), proposal, PASSPHRASE)
        with pytest.raises(Refused, match="needs the role administrator"):
            granting.confirm(hospital.actor("fenn"), proposal, PASSPHRASE)
        with pytest.raises(Refused, match="passphrase is not right"):
            granting.confirm(hospital.actor("teal"), proposal, "wrong wrong wrong")
        assert not holds("u-quill")

    def test_of_ones_own_is_confirmed_by_nobody_who_gets_it(self, hospital: Hospital) -> None:
        """A. Rook proposes that P. Teal becomes a surgeon; P. Teal cannot confirm that."""
        proposal = proposed(hospital, "u-teal")
        with pytest.raises(Refused, match="your own account"):
            granting.confirm(hospital.actor("teal"), proposal, PASSPHRASE)

    def test_is_confirmed_once(self, hospital: Hospital) -> None:
        """Taken away afterwards, the old proposal does not bring it back."""
        proposal = proposed(hospital)
        teal = hospital.actor("teal")
        granting.confirm(teal, proposal, PASSPHRASE)
        granting.take(teal, "u-quill", SURGEON)
        with pytest.raises(NotFound):
            granting.confirm(teal, proposal, PASSPHRASE)
        assert not holds("u-quill")

    def test_needs_a_proposer_who_is_still_an_administrator(self, hospital: Hospital) -> None:
        """What somebody proposed who was stopped since is not confirmed."""
        proposal = proposed(hospital)
        people.set_active(hospital.actor("teal"), "u-rook", active=False)
        with pytest.raises(Refused, match="may not do so any more"):
            granting.confirm(hospital.actor("teal"), proposal, PASSPHRASE)

    def test_waits_a_week(self, hospital: Hospital, later: Later) -> None:
        """Then it is gone."""
        proposal = proposed(hospital)
        later.by(days=7, seconds=1)
        assert granting.pending() == []
        with pytest.raises(NotFound):
            granting.confirm(hospital.actor("teal"), proposal, PASSPHRASE)

    def test_is_refused_or_taken_back(self, hospital: Hospital) -> None:
        """Either ends it."""
        proposal = proposed(hospital)
        granting.withdraw(hospital.actor("teal"), proposal)
        with pytest.raises(NotFound):
            granting.confirm(hospital.actor("teal"), proposal, PASSPHRASE)
        assert only("proposal.withdrawn") == [["u-teal", "u-quill", "role.give:surgeon@saltpan"]]

    def test_proposed_twice_is_one_proposal(self, hospital: Hospital) -> None:
        """A second click makes no second line."""
        assert proposed(hospital) == proposed(hospital)

    def test_is_not_slipped_in_with_a_new_account(self, hospital: Hospital) -> None:
        """That way around the rule is not open either."""
        rook = hospital.actor("rook")
        new = NewUser("lowe", "Dr N. Lowe", "six otters row home", [SURGEON], "u-lowe")
        assert people.add(rook, new, PASSPHRASE) is False
        assert granting.roles_of("u-lowe") == set()
        assert [p.subject for p, _ in granting.pending()] == ["u-lowe"]


class TestAdministrator:
    """The role that gives roles."""

    def test_takes_two_as_well(self, hospital: Hospital) -> None:
        """Or one administrator could make a second one and confirm with it."""
        assert granting.takes_two("administrator")
        proposed(hospital, "u-fenn", RoleAt("administrator", "harbour"))
        assert not holds("u-fenn", RoleAt("administrator", "harbour"))

    @pytest.mark.parametrize("way", ["stopped", "taken"])
    def test_whoever_ends_the_other_one_makes_no_new_one(
        self, hospital: Hospital, way: str
    ) -> None:
        """Only the second one of all needs nobody, or one administrator could make a helper."""
        rook, role = hospital.actor("rook"), RoleAt("administrator", "harbour")
        if way == "stopped":
            people.set_active(rook, "u-teal", active=False)
        else:
            granting.take(rook, "u-teal", role)
        assert granting.administrators() == 1
        assert not granting.give(rook, "u-quill", role, PASSPHRASE)
        assert not holds("u-quill", role)
        page = Desk(hospital.client("rook")).get("/desk/people").text
        assert "Make a second at the server" in page

    def test_other_roles_are_given_at_once(self, hospital: Hospital) -> None:
        """With the passphrase again, and by an administrator."""
        desk = RoleAt("desk", "saltpan")
        assert granting.give(hospital.actor("rook"), "u-quill", desk, PASSPHRASE)
        with pytest.raises(Refused, match="passphrase is not right"):
            granting.give(hospital.actor("rook"), "u-fenn", SURGEON, "wrong wrong wrong")
        with pytest.raises(Refused, match="needs the role administrator"):
            granting.give(hospital.actor("fenn"), "u-fenn", SURGEON, PASSPHRASE)


class TestPage:
    """As two administrators see it."""

    def test_one_proposes_and_the_other_confirms(self, hospital: Hospital) -> None:
        """The proposer sees no button to confirm; the other does, and types a passphrase."""
        rook, teal = Desk(hospital.client("rook")), Desk(hospital.client("teal"))
        rook.get("/desk/people")
        fields = {"role": "surgeon", "site": "saltpan", "passphrase": PASSPHRASE}
        assert rook.post("/desk/people/u-quill/roles", **fields).status_code == 302
        (proposal,) = two_people.pending(granting.GIVE)
        address = f"/desk/people/proposals/{proposal.id}/confirm"
        assert address not in rook.get("/desk/people").text
        assert "Take it back" in rook.get("/desk/people").text
        assert address in teal.get("/desk/people").text
        wrong = teal.post(address, passphrase="wrong wrong wrong")
        assert wrong.status_code == 422 and "passphrase is not right" in wrong.text
        assert teal.post(address, passphrase=PASSPHRASE).status_code == 302
        assert holds("u-quill")

    def test_a_wrong_passphrase_gives_nothing(self, hospital: Hospital) -> None:
        """The page says so."""
        rook = Desk(hospital.client("rook"))
        rook.get("/desk/people")
        fields = {"role": "desk", "site": "saltpan", "passphrase": "wrong wrong wrong"}
        answer = rook.post("/desk/people/u-quill/roles", **fields)
        assert answer.status_code == 422 and "passphrase is not right" in answer.text
        assert not holds("u-quill", RoleAt("desk", "saltpan"))

    def test_an_auditor_reads_and_changes_nothing(self, hospital: Hospital) -> None:
        """No form stands on the page."""
        birch = Desk(hospital.client("birch"))
        page = birch.get("/desk/people")
        assert page.status_code == 200 and "T. Quill" in page.text
        assert "Give this role" not in page.text and "Take away" not in page.text
        assert birch.post("/desk/people/u-quill/active", active="0").status_code == 403
