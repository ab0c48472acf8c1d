"""A key's authority: what waits for its words, what a revocation keeps apart, who may say so."""

import pytest
from cryptography.hazmat.primitives.asymmetric import ec

from tests.hospital import WALL, Hospital, Phone, person_body, width_body
from webapp.demo_people import PASSPHRASE
from webapp.flow import clock, device_list, devices, key_authority
from webapp.flow.actor import Actor, RoleAt
from webapp.flow.key_authority import Revocation
from webapp.flow.refusal import NotFound, Refused
from webapp.records.envelope import to_base64url
from webapp.records.signing import DeskKey
from webapp.store import devices as store
from webapp.store import journal, quarantine
from webapp.store.devices import DeviceRow

PERSON = "0193a5c0-0000-7000-8000-000000000001"
WIDTH = "reading.white_to_white"
LOST = Revocation("lost", None)


class WaitingPhone(Phone):
    """A phone that has just been enrolled: nobody has compared its words."""

    def __init__(self, actor: Actor, role: str, site: str) -> None:
        super().__init__(actor, role, site)
        DeviceRow.update(confirmed_at=None).where(DeviceRow.kid == self.kid).execute()

    def first_records(self) -> list[str]:
        """Hand in a person and a reading; return what became of each."""
        registered = self.record("person.registered", PERSON, None, person_body())
        read = self.record(WIDTH, PERSON, "R", width_body())
        return [f"{r.result} {r.reason.code if r.reason else ''}".strip()
                for r in self.push(registered, read)]  # fmt: skip


@pytest.fixture
def waiting(hospital: Hospital) -> WaitingPhone:
    """Return R. Ambler's new phone."""
    return WaitingPhone(hospital.actor("ambler"), "optometrist", "saltpan")


def refusal(hospital: Hospital, who: str, kid: str, passphrase: str = PASSPHRASE) -> str:
    """Return why somebody cannot confirm a key."""
    with pytest.raises(Refused) as refused:
        key_authority.confirm(hospital.actor(who), kid, passphrase)
    return refused.value.code


class TestEnrol:
    """A new key."""

    def test_waits_unless_told_otherwise(self, hospital: Hospital) -> None:
        """The default is the safe one."""
        phone = hospital.phone()
        DeviceRow.delete().where(DeviceRow.kid == phone.kid).execute()
        kid = devices.enrol(hospital.actor("ambler"), to_base64url(phone.key.spki), "x")
        assert devices.state_of(kid).state == "waiting"

    def test_an_unknown_key_has_no_state(self, hospital: Hospital) -> None:
        """Nor does anything that is no key."""
        assert devices.state_of("0" * 64) == ("unknown", None)
        assert devices.state_of("x") == ("unknown", None)


class TestWaiting:
    """Before somebody compared the words."""

    def test_its_records_are_kept_apart(self, waiting: WaitingPhone) -> None:
        """Nothing of it is anywhere else (I24)."""
        assert waiting.first_records() == ["refused key.waiting"] * 2
        assert journal.entries_of_person(PERSON) == []
        assert quarantine.count_by_key() == {waiting.kid: 2}

    def test_they_come_in_by_themselves(self, hospital: Hospital, waiting: WaitingPhone) -> None:
        """In chain order, once it is confirmed; the chain then goes on."""
        waiting.first_records()
        assert key_authority.confirm(hospital.actor("rook"), waiting.kid, PASSPHRASE) == 2
        kinds = [entry.kind for entry in journal.entries_of_person(PERSON)]
        assert kinds == ["person.registered", WIDTH]
        assert quarantine.count_by_key() == {}
        waiting.keep(WIDTH, PERSON, "L", width_body())

    def test_what_breaks_another_rule_stays_apart(
        self, hospital: Hospital, waiting: WaitingPhone
    ) -> None:
        """Now for that rule's reason."""
        waiting.push(waiting.record(WIDTH, PERSON, "R", width_body()))
        assert key_authority.confirm(hospital.actor("rook"), waiting.kid, PASSPHRASE) == 0
        (row,) = quarantine.of_key(waiting.kid, "person.unknown")
        assert row.seq == 1

    def test_offered_again_it_is_known(self, hospital: Hospital, waiting: WaitingPhone) -> None:
        """The phone that sends once more gets its receipt."""
        registered = waiting.record("person.registered", PERSON, None, person_body())
        waiting.push(registered)
        key_authority.confirm(hospital.actor("rook"), waiting.kid, PASSPHRASE)
        (receipt,) = waiting.push(registered)
        assert receipt.result == "known"

    def test_confirming_is_not_hearing_from_it(
        self, hospital: Hospital, waiting: WaitingPhone, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """The records lay at the base; the phone itself stays silent."""
        waiting.first_records()
        heard = waiting_row(hospital, waiting.kid).last_heard
        later = clock.utc_now().replace(year=2031)
        monkeypatch.setattr(clock, "utc_now", lambda: later)
        key_authority.confirm(hospital.actor("rook"), waiting.kid, PASSPHRASE)
        assert waiting_row(hospital, waiting.kid).last_heard == heard


class TestConfirm:
    """Who gives a key its authority."""

    @pytest.mark.parametrize("who", ["fenn", "ambler", "verrill"])
    def test_only_an_administrator(
        self, hospital: Hospital, waiting: WaitingPhone, who: str
    ) -> None:
        """Neither the desk nor the person."""
        assert refusal(hospital, who, waiting.kid) == "role.missing"

    def test_not_ones_own(self, hospital: Hospital, waiting: WaitingPhone) -> None:
        """An administrator who also measures asks another."""
        roles = [RoleAt("optometrist", "saltpan"), RoleAt("administrator", "harbour")]
        own = hospital.actor("ambler")._replace(roles=tuple(roles))
        with pytest.raises(Refused, match="Another administrator"):
            key_authority.confirm(own, waiting.kid, PASSPHRASE)

    def test_with_the_passphrase(self, hospital: Hospital, waiting: WaitingPhone) -> None:
        """Asked for afresh; a wrong one changes nothing."""
        assert refusal(hospital, "rook", waiting.kid, "not the one") == "passphrase.wrong"
        assert devices.state_of(waiting.kid).state == "waiting"

    def test_once(self, hospital: Hospital, waiting: WaitingPhone) -> None:
        """A key that is settled is not settled again, and who did it is shown."""
        key_authority.confirm(hospital.actor("rook"), waiting.kid, PASSPHRASE)
        assert refusal(hospital, "rook", waiting.kid) == "device.not_waiting"
        assert waiting_row(hospital, waiting.kid).confirmed_by == "A. Rook"

    def test_not_after_a_revocation(self, hospital: Hospital, waiting: WaitingPhone) -> None:
        """Nothing brings a revoked key back."""
        key_authority.revoke(hospital.actor("rook"), waiting.kid, LOST)
        assert refusal(hospital, "rook", waiting.kid) == "device.not_waiting"


class TestRevoke:
    """Taking a key's authority away."""

    def test_what_arrives_later_is_kept_apart_whatever_its_clock_says(
        self, hospital: Hospital
    ) -> None:
        """The order of receipt counts: the record is years older by the phone's clock."""
        phone = hospital.phone()
        person = phone.register()
        early = phone.record(WIDTH, person, "R", width_body(), wall="2020-01-01T00:00:00Z")
        key_authority.revoke(hospital.actor("rook"), phone.kid, LOST)
        (receipt,) = phone.push(early)
        assert receipt.reason is not None and receipt.reason.code == "key.revoked"
        assert quarantine.count_by_key() == {phone.kid: 1}

    @pytest.mark.parametrize("who", ["ambler", "verrill"])
    def test_only_by_the_desk_or_an_administrator(self, hospital: Hospital, who: str) -> None:
        """Asked before anything is done: a colleague could silence a phone otherwise."""
        phone = hospital.phone()
        with pytest.raises(Refused) as refused:
            key_authority.revoke(hospital.actor(who), phone.kid, LOST)
        assert refused.value.code == "role.missing"
        assert devices.state_of(phone.kid).state == "confirmed"

    def test_is_a_record_that_every_phone_pulls(self, hospital: Hospital) -> None:
        """On the reference site, in the administrator's name."""
        phone = hospital.phone()
        since = Revocation("stolen", WALL)
        (record,) = key_authority.revoke(hospital.actor("rook"), phone.kid, since)
        entry = journal.entries_by_id([record])[record]
        assert (entry.kind, entry.site, entry.author) == ("key.revoked", "all", "u-rook")
        page = hospital.client("verrill").get("/sync/pull?site=all").json
        assert entry.kid in [one["kid"] for one in page["records"]]
        assert devices.state_of(phone.kid).state == "revoked"

    def test_one_person_of_the_desk_is_enough(self, hospital: Hospital) -> None:
        """Whoever answers the telephone acts at once."""
        phone = hospital.phone()
        key_authority.revoke(hospital.actor("fenn"), phone.kid, LOST)
        assert devices.state_of(phone.kid).state == "revoked"

    @pytest.mark.parametrize("who", ["ambler", "verrill"])
    def test_nobody_else(self, hospital: Hospital, who: str) -> None:
        """Not the people who measure and decide."""
        phone = hospital.phone()
        with pytest.raises(Refused, match="role"):
            key_authority.revoke(hospital.actor(who), phone.kid, LOST)
        assert devices.state_of(phone.kid).state == "confirmed"

    def test_a_device_that_one_does_not_see(self, hospital: Hospital) -> None:
        """Another camp's phone and the desk's own key look like no device at all."""
        phone = hospital.phone("quill", "upper-glen")
        elsewhere = hospital.actor("fenn")._replace(roles=(RoleAt("desk", "harbour"),))
        with pytest.raises(NotFound):
            key_authority.revoke(elsewhere, phone.kid, LOST)
        desk = DeviceRow.get(DeviceRow.user == store.DESK)
        with pytest.raises(NotFound):
            key_authority.revoke(hospital.actor("rook"), desk.kid, LOST)

    def test_ends_its_sessions_and_no_others(self, hospital: Hospital) -> None:
        """A stolen phone reads nothing more; its owner's other phone goes on."""
        stolen, other = hospital.client("ambler"), hospital.client("ambler")
        spki = to_base64url(DeskKey(ec.generate_private_key(ec.SECP256R1())).spki)
        mine = stolen.post("/auth/enrol", {"spki": spki, "label": "Saltpan phone"}).json["kid"]
        key_authority.revoke(hospital.actor("rook"), mine, LOST)
        assert stolen.get("/sync/pull?site=saltpan").status_code == 401
        assert other.get("/sync/pull?site=saltpan").status_code == 200
        # The phone asks by its key alone, and learns why.
        state = hospital.client().get(f"/auth/key?kid={mine}").json["key"]
        assert state["state"] == "revoked" and state["since"]

    def test_ends_the_keys_that_only_it_vouched_for(self, hospital: Hospital) -> None:
        """One after another; a key that an administrator confirmed goes on."""
        lost, heir, grandchild, other = (hospital.phone() for _ in range(4))
        for young, old in ((heir, lost), (grandchild, heir)):
            DeviceRow.update(confirmed_by=old.kid).where(DeviceRow.kid == young.kid).execute()
        records = key_authority.revoke(hospital.actor("rook"), lost.kid, LOST)
        assert len(records) == 3
        states = [devices.state_of(one.kid).state for one in (lost, heir, grandchild, other)]
        assert states == ["revoked"] * 3 + ["confirmed"]

    def test_is_final(self, hospital: Hospital) -> None:
        """A second one is refused, so the first time and reason stand."""
        phone = hospital.phone()
        key_authority.revoke(hospital.actor("rook"), phone.kid, LOST)
        with pytest.raises(Refused, match="revoked already"):
            key_authority.revoke(hospital.actor("rook"), phone.kid, Revocation("stolen", WALL))


def waiting_row(hospital: Hospital, kid: str) -> device_list.DeviceRow:
    """Return a key's row of the list."""
    return device_list.find(hospital.actor("rook"), kid)
