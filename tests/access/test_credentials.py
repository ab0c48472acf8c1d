"""Passphrases: their rules, changed by their owner, made anew with a code from two colleagues."""

import re

import pytest

from tests.access.test_audit_log import events
from tests.access.test_sign_in import PERSON, Later, later
from tests.desk.conftest import Desk
from tests.hospital import PASSPHRASE, Hospital, person_body
from webapp.flow import accounts, credentials, devices, passphrases, people
from webapp.flow.actor import RoleAt
from webapp.flow.people import NewUser
from webapp.flow.refusal import NotFound, Refused
from webapp.store.reset_codes import ResetCode

__all__ = ["later"]

NEW = "mango lantern river nine"


def code_for(hospital: Hospital, user_id: str = "u-ambler") -> str:
    """Have two people agree and return the code."""
    credentials.propose(hospital.actor("fenn"), user_id, PASSPHRASE)
    (proposal, _), *_ = credentials.pending(hospital.actor("rook"))
    return credentials.confirm(hospital.actor("rook"), proposal.id, PASSPHRASE)[1]


class TestRules:
    """What a passphrase may be (NIST SP 800-63B, 5.1.1.2: length and a list, no composition)."""

    @pytest.mark.parametrize("passphrase", [
        NEW, "x" * 6 + "yonder hill", "a long one " * 6 + "of seventy characters and more",
        "ALL UPPER CASE WITHOUT DIGITS", "बारह अक्षर से लंबा वाक्य", "     spaces     count  ok",
    ])  # fmt: skip
    def test_are_taken(self, passphrase: str) -> None:
        """Any characters, spaces too, without digits or signs, beyond 64 characters."""
        assert passphrases.matches(passphrases.hash_new(passphrase), passphrase)

    @pytest.mark.parametrize("passphrase", [
        "password1234", "passwordpassword", "P@ssw0rd2026!", "aaaaaaaaaaaaaa", "abcabcabcabc",
        "123456789012", "qwertyuiop[]12", "Lampside2026!!", "welcome hospital", "1q2w3e4r5t6y",
        "verrillverrill1", "Dr S. Verrill 26",
    ])  # fmt: skip
    def test_what_is_tried_first_is_refused(self, passphrase: str) -> None:
        """Known words, runs of keys, repetitions, the owner's own name."""
        with pytest.raises(Refused, match="first that somebody tries"):
            passphrases.hash_new(passphrase, about=("verrill", "Dr S. Verrill"))

    def test_too_short_and_too_long(self) -> None:
        """Eleven characters and 257."""
        with pytest.raises(Refused, match="11 characters"):
            passphrases.hash_new("short words")
        with pytest.raises(Refused, match="At most 256"):
            passphrases.hash_new("river " * 43)


class TestOwn:
    """One's own passphrase changed."""

    def test_ends_every_other_session(self, hospital: Hospital) -> None:
        """The page that changed it stays; the phone elsewhere is out; the old one is worthless."""
        here, elsewhere = Desk(hospital.client("fenn")), hospital.client("fenn")
        here.get("/desk/passphrase")
        answer = here.post("/desk/passphrase", passphrase=PASSPHRASE, new=NEW)
        assert answer.status_code == 302
        assert here.get("/desk/").status_code == 200
        assert elsewhere.get("/auth/me").status_code == 401
        assert hospital.client().sign_in("fenn").status_code == 401
        assert hospital.client().sign_in("fenn", NEW).status_code == 200

    @pytest.mark.parametrize(("old", "new", "said"), [
        ("wrong wrong wrong", NEW, "The passphrase is not right"),
        (PASSPHRASE, "short", "at least 12"),
        (PASSPHRASE, "fenn fenn fenn", "first that somebody tries"),
    ])  # fmt: skip
    def test_says_what_is_wrong(self, hospital: Hospital, old: str, new: str, said: str) -> None:
        """And nothing is changed."""
        desk = Desk(hospital.client("fenn"))
        desk.get("/desk/passphrase")
        answer = desk.post("/desk/passphrase", passphrase=old, new=new)
        assert answer.status_code == 422 and said in answer.text
        assert hospital.client().sign_in("fenn").status_code == 200


class TestCode:
    """Made anew with a code."""

    def test_has_eighty_random_bits_and_is_kept_as_a_hash(self, hospital: Hospital) -> None:
        """Twenty hexadecimal digits in four groups; the table does not hold them."""
        code = code_for(hospital)
        assert re.fullmatch(r"([0-9a-f]{5}-){3}[0-9a-f]{5}", code)
        row = ResetCode.get()
        assert row.user == "u-ambler"
        assert code.replace("-", "") not in row.hash and len(row.hash) == 64

    def test_sets_a_passphrase_once(self, hospital: Hospital) -> None:
        """The owner chooses it; old sessions end; the code is then worthless."""
        old = hospital.client("ambler")
        code = code_for(hospital)
        credentials.make_anew("Ambler", f" {code.upper()} ", NEW, "here")
        assert old.get("/auth/me").status_code == 401
        assert hospital.client().sign_in("ambler").status_code == 401
        assert hospital.client().sign_in("ambler", NEW).status_code == 200
        with pytest.raises(Refused, match="not right"):
            credentials.make_anew("ambler", code, "another one of many words", "here")

    def test_the_owners_phones_wait_for_confirmation_again(self, hospital: Hospital) -> None:
        """What they sign meanwhile is kept apart; a colleague's phone goes on."""
        mine, other = hospital.phone("ambler"), hospital.phone("quill", "upper-glen")
        credentials.make_anew("ambler", code_for(hospital), NEW, "here")
        assert devices.state_of(mine.kid).state == "waiting"
        assert devices.state_of(other.kid).state == "confirmed"
        record = mine.record("person.registered", PERSON, None, person_body())
        (receipt,) = mine.push(record)
        assert receipt.result != "stored"
        assert receipt.reason is not None and receipt.reason.code == "key.waiting"

    def test_runs_out_after_fifteen_minutes(self, hospital: Hospital, later: Later) -> None:
        """A second later it is too late."""
        code = code_for(hospital)
        later.by(minutes=15, seconds=1)
        with pytest.raises(Refused, match="has run out"):
            credentials.make_anew("ambler", code, NEW, "here")

    def test_a_short_passphrase_uses_no_code_up(self, hospital: Hospital) -> None:
        """It can be tried again with a longer one."""
        code = code_for(hospital)
        with pytest.raises(Refused, match="at least 12"):
            credentials.make_anew("ambler", code, "short", "here")
        credentials.make_anew("ambler", code, NEW, "here")

    def test_a_second_code_ends_the_first(self, hospital: Hospital) -> None:
        """One code an account."""
        first, second = code_for(hospital), code_for(hospital)
        with pytest.raises(Refused):
            credentials.make_anew("ambler", first, NEW, "here")
        credentials.make_anew("ambler", second, NEW, "here")

    def test_of_another_account_is_worthless(self, hospital: Hospital) -> None:
        """And an unknown name gives the same answer."""
        code = code_for(hospital)
        for name in ("quill", "nobody"):
            with pytest.raises(Refused, match="The name or the code is not right"):
                credentials.make_anew(name, code, NEW, "here")

    def test_guessing_is_slowed(self, hospital: Hospital) -> None:
        """As signing in is, in the same count."""
        for _ in range(5):
            with pytest.raises(Refused, match="not right"):
                credentials.make_anew("ambler", "0" * 20, NEW, "here")
        with pytest.raises(Refused, match="Too many"):
            credentials.make_anew("ambler", "0" * 20, NEW, "here")


class TestTwoPeople:
    """Who takes part."""

    def test_neither_one_alone_nor_the_owner(self, hospital: Hospital) -> None:
        """The proposer, the owner, an optometrist and a desk of elsewhere cannot confirm."""
        credentials.propose(hospital.actor("rook"), "u-fenn", PASSPHRASE)
        ((proposal, name),) = credentials.pending(hospital.actor("rook"))
        assert name == "L. Fenn"
        with pytest.raises(Refused, match="proposed this yourself"):
            credentials.confirm(hospital.actor("rook"), proposal.id, PASSPHRASE)
        with pytest.raises(NotFound):
            credentials.confirm(hospital.actor("fenn"), proposal.id, PASSPHRASE)
        with pytest.raises(Refused, match="needs the role"):
            credentials.confirm(hospital.actor("ambler"), proposal.id, PASSPHRASE)
        with pytest.raises(Refused, match="needs the role"):
            credentials.propose(hospital.actor("ambler"), "u-quill", PASSPHRASE)

    def test_of_a_surgeon_both_are_administrators(self, hospital: Hospital) -> None:
        """Nobody comes to a surgeon's account with the help of an account they made themselves."""
        rook, teal = hospital.actor("rook"), hospital.actor("teal")
        new = NewUser("lowe", "N. Lowe", NEW, [RoleAt("desk", "saltpan")], "u-lowe")
        assert people.add(rook, new, PASSPHRASE)
        helper = accounts.actor_of("u-lowe")
        assert helper is not None
        credentials.propose(rook, "u-verrill", PASSPHRASE)
        ((proposal, _),) = credentials.pending(teal)
        with pytest.raises(NotFound):
            credentials.confirm(helper, proposal.id, NEW)
        assert credentials.confirm(teal, proposal.id, PASSPHRASE)[0] == "Dr S. Verrill"
        with pytest.raises(NotFound):
            credentials.propose(hospital.actor("fenn"), "u-verrill", PASSPHRASE)

    def test_the_site_is_told(self, hospital: Hospital) -> None:
        """Colleagues of the camp read it on the worklist, those of another camp do not."""
        credentials.make_anew("ambler", code_for(hospital), NEW, "here")
        said = "The passphrase of <strong>R. Ambler</strong> was made anew"
        assert said in Desk(hospital.client("verrill")).get("/desk/").text
        assert said not in Desk(hospital.client("quill")).get("/desk/").text

    def test_the_log_tells_all_steps_and_no_code(self, hospital: Hospital) -> None:
        """Proposed, confirmed, shown, set."""
        code = code_for(hospital)
        credentials.make_anew("ambler", code, NEW, "here")
        told = [event for event, _, subject, _ in events() if subject == "u-ambler"]
        steps = ["proposal.made", "proposal.confirmed", "reset.code_shown", "passphrase.set"]
        assert [one for one in told if one in steps] == steps
        assert code.replace("-", "") not in str(events()) and code not in str(events())


class TestPages:
    """The same in a browser without scripts."""

    def test_from_proposal_to_sign_in(self, hospital: Hospital) -> None:
        """Desk proposes, administrator confirms and reads the code out, the owner types it."""
        fenn, rook = Desk(hospital.client("fenn")), Desk(hospital.client("rook"))
        fenn.get("/desk/resets")
        fields = {"colleague": "u-ambler", "passphrase": PASSPHRASE}
        assert fenn.post("/desk/resets", **fields).status_code == 302
        page = rook.get("/desk/resets").text
        address = re.search(r'action="(/desk/resets/[0-9a-f]{16}/confirm)"', page)
        assert address
        assert address[1] not in fenn.get("/desk/resets").text
        assert rook.post(address[1], passphrase="wrong wrong wrong").status_code == 422
        shown = rook.post(address[1], passphrase=PASSPHRASE)
        code = re.search(r"<code>([0-9a-f-]{23})</code>", shown.text)
        assert code and shown.headers["Cache-Control"] == "no-store"
        owner = Desk(hospital.client())
        owner.get("/desk/new-passphrase")
        wrong = owner.post("/desk/new-passphrase", name="ambler", code="0" * 20, new=NEW)
        assert wrong.status_code == 422 and "not right" in wrong.text
        right = owner.post("/desk/new-passphrase", name="ambler", code=code[1], new=NEW)
        assert right.status_code == 302
        assert hospital.client().sign_in("ambler", NEW).status_code == 200

    def test_guessing_while_confirming_waits_on_the_page(self, hospital: Hospital) -> None:
        """The wait is said beside the passphrase, where the next try would be made."""
        fenn, rook = Desk(hospital.client("fenn")), Desk(hospital.client("rook"))
        fenn.get("/desk/resets")
        fenn.post("/desk/resets", colleague="u-ambler", passphrase=PASSPHRASE)
        page = rook.get("/desk/resets").text
        address = re.search(r'action="(/desk/resets/[0-9a-f]{16}/confirm)"', page)
        assert address
        said = [rook.post(address[1], passphrase="wrong wrong wrong") for _ in range(8)]
        assert {answer.status_code for answer in said} == {422}
        assert "Too many" in said[-1].text and "Forgotten passphrases" in said[-1].text

    def test_a_proposal_can_be_taken_back(self, hospital: Hospital) -> None:
        """Then nobody can confirm it."""
        fenn = Desk(hospital.client("fenn"))
        fenn.get("/desk/resets")
        fenn.post("/desk/resets", colleague="u-ambler", passphrase=PASSPHRASE)
        ((proposal, _),) = credentials.pending(hospital.actor("fenn"))
        fenn.get("/desk/resets")
        assert fenn.post(f"/desk/resets/{proposal.id}/withdraw").status_code == 302
        assert credentials.pending(hospital.actor("rook")) == []
