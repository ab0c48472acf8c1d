"""Signing in: sessions that end, guesses that slow down, forgeries that fail."""

from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from functools import cache
from statistics import median
from time import perf_counter

import pytest
from argon2 import PasswordHasher

from tests.hospital import PASSPHRASE, Hospital, person_body, set_roles
from webapp.flow import accounts, clock, passphrases, people
from webapp.flow.actor import RoleAt
from webapp.flow.refusal import Refused
from webapp.flow.throttle import Throttle
from webapp.store import database
from webapp.store.accounts import Session, User

PERSON = "0193a5c0-0000-7000-8000-000000000001"


@pytest.fixture
def later(monkeypatch: pytest.MonkeyPatch) -> "Later":
    """Return a clock that a test can move on."""
    return Later(monkeypatch)


class Later:
    """The server's clock, moved on by a test."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.now = clock.utc_now()
        monkeypatch.setattr(clock, "utc_now", lambda: self.now)

    def by(self, **time: float) -> None:
        """Move the clock on."""
        self.now += timedelta(**time)


class TestSession:
    """What a cookie is worth."""

    def test_tells_who_and_where(self, hospital: Hospital) -> None:
        """The answer names the person, their roles and the sites they work at."""
        answer = hospital.client("ambler").get("/auth/me").json
        assert answer["user"]["id"] == "u-ambler"
        assert {site["id"] for site in answer["sites"]} == {"saltpan", "north-quay"}

    def test_is_not_readable_by_scripts_nor_sent_by_other_sites(self, hospital: Hospital) -> None:
        """HttpOnly, SameSite=Strict, no Domain."""
        client = hospital.client()
        token = client.get("/auth/token")
        cookie = token.headers["Set-Cookie"]
        assert "HttpOnly" in cookie
        assert "SameSite=Strict" in cookie
        assert "Domain" not in cookie

    @pytest.mark.parametrize("address", ["/", "/nothing/here", "/desk/", "/app/", "/auth/me"])
    def test_outlives_a_link_from_another_site(self, hospital: Hospital, address: str) -> None:
        """Such a request comes without the cookie; a new one in the answer would end the session.

        Only the page to sign in on and the app's token begin one.
        """
        assert "Set-Cookie" not in hospital.client().get(address).headers

    def test_begins_anew_at_sign_in(self, hospital: Hospital) -> None:
        """A cookie planted before signing in is worth nothing afterwards."""
        client = hospital.client()
        client.get("/auth/token")
        planted = client.secret_cookie()
        client.sign_in("ambler")
        assert client.secret_cookie() != planted
        thief = hospital.client()
        thief.flask.set_cookie("lampside", planted)
        assert thief.get("/auth/me").status_code == 401

    def test_a_copied_cookie_ends_with_sign_out(self, hospital: Hospital) -> None:
        """Signing out ends the session on the server, not only in one browser."""
        client = hospital.client("ambler")
        copied = client.secret_cookie()
        assert client.post("/auth/sign-out", {}).status_code == 200
        thief = hospital.client()
        thief.flask.set_cookie("lampside", copied)
        assert thief.get("/auth/me").status_code == 401

    def test_the_database_holds_no_secret(self, hospital: Hospital) -> None:
        """Whoever reads the session table cannot sign in with it."""
        secret, _ = accounts.sign_in("ambler", PASSPHRASE, "here")
        assert secret not in {row.id for row in Session.select()}
        assert len(secret) >= 43  # 256 bits in base64url

    def test_ends_after_twelve_hours_unused(self, hospital: Hospital, later: Later) -> None:
        """Used every eleven hours it lives, left alone for thirteen it does not."""
        client = hospital.client("ambler")
        for _ in range(3):
            later.by(hours=11)
            assert client.get("/auth/me").status_code == 200
        later.by(hours=13)
        assert client.get("/auth/me").status_code == 401

    def test_ends_at_the_desk_after_half_an_hour_unused(
        self, hospital: Hospital, later: Later
    ) -> None:
        """Each page begins the half hour anew; a phone's door stays open for the same cookie."""
        client = hospital.client("fenn")
        for _ in range(3):
            later.by(minutes=29)
            assert client.get("/desk/").status_code == 200
        later.by(minutes=31)
        answer = client.get("/desk/")
        assert answer.status_code == 302
        assert answer.headers["Location"].startswith("/desk/sign-in")
        assert client.get("/auth/me").status_code == 200

    def test_ends_at_the_desk_after_twelve_hours(self, hospital: Hospital, later: Later) -> None:
        """However busy the desk was."""
        client = hospital.client("fenn")
        for _ in range(24):
            later.by(minutes=29)
            assert client.get("/desk/").status_code == 200
        later.by(minutes=25)
        assert client.get("/desk/").status_code == 302

    def test_ends_everywhere_at_an_administrators_word(self, hospital: Hospital) -> None:
        """The account stays; who it is signs in again."""
        client = hospital.client("ambler")
        people.end_sessions(hospital.actor("rook"), "u-ambler")
        assert client.get("/auth/me").status_code == 401
        assert hospital.client().sign_in("ambler").status_code == 200

    def test_ends_after_seven_days_even_when_used(self, hospital: Hospital, later: Later) -> None:
        """Nobody stays signed in for ever."""
        secret, _ = accounts.sign_in("ambler", PASSPHRASE, "here")
        for _ in range(16):
            later.by(hours=10)
            assert accounts.signed_in(secret, "here") is not None
        later.by(hours=9)
        assert accounts.signed_in(secret, "here") is None

    def test_ends_at_once_when_the_account_is_stopped(self, hospital: Hospital) -> None:
        """Stopping an account acts on the next request."""
        client = hospital.client("ambler")
        people.set_active(hospital.actor("rook"), "u-ambler", active=False)
        assert client.get("/auth/me").status_code == 401
        assert hospital.client().sign_in("ambler").status_code == 401

    def test_roles_are_those_of_this_moment(self, hospital: Hospital) -> None:
        """A role taken away is gone in an open session."""
        client = hospital.client("ambler")
        set_roles("u-ambler", hospital.actor("quill").roles[0])
        assert client.get("/sync/pull?site=saltpan").status_code == 404
        assert client.get("/sync/pull?site=upper-glen").status_code == 200


class TestRightsTakenAway:
    """Act in the same second."""

    def test_a_role_taken_away_stops_the_next_push_and_pull(self, hospital: Hospital) -> None:
        """No session and no phone lives on rights of a moment ago."""
        client, phone = hospital.client("ambler"), hospital.phone()
        record = phone.record("person.registered", PERSON, None, person_body())
        set_roles("u-ambler")
        assert client.post("/sync/push", {"records": [record]}).status_code == 403
        assert client.get("/sync/pull?site=saltpan").status_code == 403
        set_roles("u-ambler", RoleAt("optometrist", "upper-glen"))
        receipt = client.post("/sync/push", {"records": [record]}).json["receipts"][0]
        assert receipt["reason"]["code"] == "site.not_yours"
        assert client.get("/sync/pull?site=saltpan").status_code == 404


class TestWrong:
    """Guesses."""

    def test_unknown_and_wrong_look_the_same(self, hospital: Hospital) -> None:
        """Neither text nor status tells whether an account exists."""
        unknown = hospital.client().sign_in("nobody", "wrong wrong wrong")
        wrong = hospital.client().sign_in("ambler", "wrong wrong wrong")
        assert unknown.status_code == wrong.status_code == 401
        assert unknown.json == wrong.json
        assert unknown.content_type == "application/problem+json"

    def test_an_unknown_name_costs_a_hash_too(
        self, hospital: Hospital, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """The time spent is that of one verification either way."""
        seen: list[str] = []
        monkeypatch.setattr(passphrases, "_hasher", _Recording(passphrases._hasher, seen))
        for name in ("nobody", "ambler"):
            hospital.client().sign_in(name, "wrong wrong wrong")
        assert len(seen) == 2
        assert seen[0] == passphrases.dummy_hash()

    def test_known_and_unknown_names_take_as_long(
        self, hospital: Hospital, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Medians of 200 interleaved tries; with a quick hash, so that all else would show."""
        quick = PasswordHasher(time_cost=1, memory_cost=1024, parallelism=1)
        monkeypatch.setattr(passphrases, "_hasher", quick)
        monkeypatch.setattr(passphrases, "dummy_hash", cache(lambda: quick.hash("nobody's")))
        monkeypatch.setattr(Throttle, "check", lambda *_: None)
        User.update(passphrase_hash=quick.hash(PASSPHRASE)).execute()
        took: dict[str, list[float]] = {"fenn": [], "nobody": []}
        for _ in range(200):
            for name, times in took.items():
                began = perf_counter()
                with pytest.raises(Refused):
                    accounts.sign_in(name, "wrong wrong wrong", "here")
                times.append(perf_counter() - began)
        ratio = median(took["fenn"]) / median(took["nobody"])
        assert 0.75 < ratio < 1.33, ratio

    def test_an_accent_may_be_typed_either_way(self) -> None:
        """One character or two for the same accent: keyboards differ, the phone takes both."""
        for kept, typed in (("caf\u00e9", "cafe\u0301"), ("cafe\u0301", "caf\u00e9")):
            kept_hash = passphrases.hash_new(f"six otters row {kept}")
            assert passphrases.matches(kept_hash, f"six otters row {typed}")
            assert not passphrases.matches(kept_hash, "six otters row cafe")

    def test_waits_double_from_the_fifth_failure(self, later: Later) -> None:
        """5 failures cost 1 second, 6 cost 2, 7 cost 4; the longest wait is 15 minutes."""
        throttle = Throttle()
        for _ in range(4):
            throttle.failed("ambler", "here")
        throttle.check("ambler", "here")
        for wait_s in (1, 2, 4):
            throttle.failed("ambler", "here")
            later.by(seconds=wait_s - 1)
            with pytest.raises(Refused, match="Wait 1 seconds"):
                throttle.check("ambler", "here")
            later.by(seconds=1)
            throttle.check("ambler", "here")
        for _ in range(30):
            throttle.failed("ambler", "here")
        later.by(minutes=15)
        throttle.check("ambler", "here")

    def test_many_at_once_are_no_way_round_it(self, hospital: Hospital, later: Later) -> None:
        """Twenty wrong ones sent together are five: the others learn that those have failed."""
        fenn = hospital.actor("fenn")

        def guess(number: int) -> str:
            with database.connection(), pytest.raises(Refused) as refused:
                accounts.confirm(fenn, f"wrong wrong wrong {number}")
            return refused.value.code

        with ThreadPoolExecutor(10) as pool:
            codes = Counter(pool.map(guess, range(20)))
        assert codes == {"passphrase.wrong": 5, "sign_in.wait": 15}
        later.by(seconds=1)
        accounts.confirm(fenn, PASSPHRASE)

    def test_right_ones_at_once_are_no_failures(self, hospital: Hospital) -> None:
        """They take turns and none of them is turned away."""

        def confirm(_number: int) -> None:
            with database.connection():
                accounts.confirm(hospital.actor("fenn"), PASSPHRASE)

        with ThreadPoolExecutor(10) as pool:
            assert list(pool.map(confirm, range(20))) == [None] * 20

    def test_a_try_that_never_ended_is_forgotten(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """A fault of the program in between shuts nobody out for long."""
        monkeypatch.setattr("webapp.flow.throttle.LONGEST_TURN_S", 0.05)
        throttle = Throttle()
        for _ in range(8):
            throttle.check("ambler", "here")

    def test_failures_of_another_day_are_forgotten(self, later: Later) -> None:
        """Slips of weeks must not add up until one more shuts a whole hospital's address out."""
        throttle = Throttle()
        for number in range(60):
            throttle.failed(f"name {number}", "here")
        later.by(hours=1)
        throttle.failed("ambler", "here")
        throttle.check("fenn", "here")

    def test_a_stranger_elsewhere_locks_nobody_out(self, later: Later) -> None:
        """Failures count for the address they come from."""
        throttle = Throttle()
        for _ in range(20):
            throttle.failed("ambler", "far away")
        throttle.check("ambler", "here")

    def test_confirming_is_slowed_like_signing_in(self, hospital: Hospital, later: Later) -> None:
        """An open session is no place to guess the passphrase that places an order."""
        fenn = hospital.actor("fenn")
        for _ in range(5):
            with pytest.raises(Refused, match="is not right"):
                accounts.confirm(fenn, "wrong wrong wrong")
        with pytest.raises(Refused, match="Too many wrong passphrases"):
            accounts.confirm(fenn, PASSPHRASE)
        later.by(seconds=1)
        accounts.confirm(fenn, PASSPHRASE)

    def test_success_forgets_and_a_seventh_try_is_told_to_wait(
        self, hospital: Hospital, later: Later
    ) -> None:
        """Over HTTP the wait is answered with 429, even for the right passphrase."""
        client = hospital.client()
        for _ in range(5):
            assert client.sign_in("ambler", "wrong wrong wrong").status_code == 401
        assert client.sign_in("ambler").status_code == 429
        later.by(seconds=1)
        assert client.sign_in("ambler").status_code == 200

    def test_hashes_are_argon2id_at_the_floor_or_above(self, quick_hash: str) -> None:
        """19 MiB, 2 passes, 1 lane: the common minimum setting (RFC 9106 gives the function)."""
        assert quick_hash.startswith("$argon2id$v=19$m=19456,t=2,p=1$")

    def test_an_old_hash_is_made_new_at_sign_in(self, hospital: Hospital) -> None:
        """Weaker parameters are replaced when the passphrase is at hand."""
        weak = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1).hash(PASSPHRASE)
        User.update(passphrase_hash=weak).where(User.id == "u-ambler").execute()
        assert hospital.client().sign_in("ambler").status_code == 200
        assert "m=19456" in User.get_by_id("u-ambler").passphrase_hash


class _Recording:
    """Stands for the hasher and notes which hash was verified."""

    def __init__(self, real: object, seen: list[str]) -> None:
        self.real = real
        self.seen = seen

    def verify(self, kept_hash: str, passphrase: str) -> bool:
        """Note and verify."""
        self.seen.append(kept_hash)
        return bool(self.real.verify(kept_hash, passphrase))  # type: ignore[attr-defined]
