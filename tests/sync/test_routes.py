"""Push, pull, keys and status as a phone calls them."""

import base64

import pytest
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

from tests.hospital import Client, Hospital, Phone, person_body, width_body
from webapp.core_bundle import core_sha256
from webapp.flow import devices, key_authority
from webapp.flow.key_authority import Revocation
from webapp.flow.refusal import Refused
from webapp.records.envelope import open_envelope, to_base64url
from webapp.records.signing import key_id
from webapp.store import installation

WIDTH = "reading.white_to_white"
PERSON = "0193a5c0-0000-7000-8000-00000000000f"


class TestPush:
    """One receipt for each record, in order."""

    def test_answers_in_order(self, hospital: Hospital) -> None:
        """Stored, refused with its reason, stored: as they were sent."""
        phone, client = hospital.phone(), hospital.client("ambler")
        batch = [
            phone.record("person.registered", PERSON, None, person_body()),
            phone.record(WIDTH, PERSON, "R", width_body(), role="surgeon"),
            phone.record(WIDTH, PERSON, "R", width_body()),
        ]
        answer = client.post("/sync/push", {"records": batch})
        assert answer.status_code == 200
        receipts = answer.json["receipts"]
        assert [receipt["id"] for receipt in receipts] == [open_envelope(one).id for one in batch]
        assert [receipt["result"] for receipt in receipts] == ["stored", "refused", "stored"]
        assert [receipt["n"] for receipt in receipts] == [1, None, 2]
        assert receipts[1]["reason"]["code"] == "role.not_held"
        assert receipts[0]["reason"] is None
        assert answer.json["epoch"] == installation.epoch()
        assert answer.json["server_time"].endswith("Z")

    def test_a_person_of_another_site_hands_nothing_in(self, hospital: Hospital) -> None:
        """Site scoping holds for whoever carries the record, even a genuine one."""
        phone = hospital.phone()
        envelope = phone.record("person.registered", PERSON, None, person_body())
        answer = hospital.client("quill").post("/sync/push", {"records": [envelope]})
        assert answer.json["receipts"][0]["reason"]["code"] == "site.not_yours"


class TestPull:
    """Pages after a cursor."""

    def test_pages_meet_without_gap_or_repeat(self, hospital: Hospital) -> None:
        """Five records in pages of two: 1-2, 3-4, 5, then nothing, each as it was signed."""
        phone, client = hospital.phone(), hospital.client("verrill")
        person = phone.register()
        sent = [phone.record(WIDTH, person, "R", width_body(11600 + 10 * i)) for i in range(4)]
        phone.push(*sent)
        seen, after = [], 0
        for _ in range(4):
            page = client.get(f"/sync/pull?site=saltpan&after={after}&limit=2").json
            assert (page["from"], page["head"], page["restart"]) == (after, 5, 0)
            seen += page["records"]
            after = page["to"]
        assert [record["n"] for record in seen] == [1, 2, 3, 4, 5]
        stripped = [{name: record[name] for name in ("p", "kid", "sig")} for record in seen]
        assert stripped[1:] == sent

    def test_another_epoch_means_start_again(self, hospital: Hospital) -> None:
        """After a restore a cursor of the time before counts for nothing."""
        client = hospital.client("ambler")
        hospital.phone().register()
        old = installation.epoch()
        raised = installation.raise_epoch(old + 100)
        page = client.get(f"/sync/pull?site=saltpan&after=1&epoch={old}").json
        assert (page["restart"], page["epoch"], page["to"], page["records"]) == (1, raised, 0, [])
        assert client.get(f"/sync/pull?site=saltpan&epoch={raised}").json["restart"] == 0

    @pytest.mark.parametrize(
        ("name", "site", "status"),
        [
            ("ambler", "saltpan", 200), ("ambler", "north-quay", 200), ("ambler", "all", 200),
            ("ambler", "upper-glen", 404), ("ambler", "harbour", 404), ("ambler", "nowhere", 404),
            ("quill", "saltpan", 404), ("verrill", "upper-glen", 200), ("fenn", "saltpan", 200),
            ("rook", "saltpan", 403), ("rook", "harbour", 403), ("rook", "all", 403),
        ],
    )  # fmt: skip
    def test_only_own_sites(self, hospital: Hospital, name: str, site: str, status: int) -> None:
        """Another site looks like one that does not exist; an administrator pulls nothing."""
        assert hospital.client(name).get(f"/sync/pull?site={site}").status_code == status

    @pytest.mark.parametrize("query", ["after=-1", "after=x", "after=1&after=2", "limit=1e9"])
    def test_a_strange_cursor_is_refused(self, hospital: Hospital, query: str) -> None:
        """Numbers are whole, positive and given once."""
        answer = hospital.client("ambler").get(f"/sync/pull?site=saltpan&{query}")
        assert answer.status_code == 400


class TestEnrol:
    """A device's key."""

    def _spki(self, key: ec.EllipticCurvePrivateKey | rsa.RSAPrivateKey) -> str:
        data = key.public_key().public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)
        return to_base64url(data)

    def test_right_after_signing_in(self, hospital: Hospital) -> None:
        """The key's id is the hash of its bytes, and everybody can then check its signatures."""
        client = hospital.client("ambler")
        spki = self._spki(ec.generate_private_key(ec.SECP256R1()))
        answer = client.post("/auth/enrol", {"spki": spki, "label": "Saltpan phone"})
        assert answer.status_code == 200
        data = base64.urlsafe_b64decode(spki + "=" * (-len(spki) % 4))
        assert answer.json["kid"] == key_id(data)
        keys = hospital.client("verrill").get("/sync/keys").json["keys"]
        (mine,) = [key for key in keys if key["kid"] == answer.json["kid"]]
        assert mine == {"kid": answer.json["kid"], "spki": spki, "user": "u-ambler",
                        "name": "R. Ambler", "label": "Saltpan phone", "revoked": 0}  # fmt: skip

    def test_not_long_after(self, hospital: Hospital, monkeypatch: pytest.MonkeyPatch) -> None:
        """A stolen session of this morning cannot add a phone."""
        client = hospital.client("ambler")
        then = devices.clock.seconds()
        monkeypatch.setattr(devices.clock, "seconds", lambda: then + 601)
        spki = self._spki(ec.generate_private_key(ec.SECP256R1()))
        answer = client.post("/auth/enrol", {"spki": spki, "label": "x"})
        assert (answer.status_code, answer.json["code"]) == (401, "sign_in.not_fresh")

    def test_only_p256_keys(self, hospital: Hospital) -> None:
        """Other curves and kinds are refused."""
        other = [ec.generate_private_key(ec.SECP384R1()), rsa.generate_private_key(65537, 2048)]
        for key in other:
            with pytest.raises(Refused) as refused:
                devices.enrol(hospital.actor("ambler"), self._spki(key), "x")
            assert refused.value.code == "device.bad_key"

    def test_a_key_belongs_to_one_person(self, hospital: Hospital) -> None:
        """The same key again is the same device; another person cannot take it."""
        spki = self._spki(ec.generate_private_key(ec.SECP256R1()))
        first = devices.enrol(hospital.actor("ambler"), spki, "a")
        assert devices.enrol(hospital.actor("ambler"), spki, "b") == first
        with pytest.raises(Refused) as refused:
            devices.enrol(hospital.actor("quill"), spki, "c")
        assert refused.value.code == "device.taken"

    def test_a_revoked_key_does_not_come_back(self, hospital: Hospital) -> None:
        """Its owner is told, so that the phone makes a new key instead of signing in vain."""
        spki = self._spki(ec.generate_private_key(ec.SECP256R1()))
        kid = devices.enrol(hospital.actor("ambler"), spki, "a")
        key_authority.revoke(hospital.actor("rook"), kid, Revocation("lost", None))
        with pytest.raises(Refused) as refused:
            devices.enrol(hospital.actor("ambler"), spki, "b")
        assert refused.value.code == "device.taken"

    @pytest.mark.parametrize("label", ["", "  ", "a\nb", "\N{RIGHT-TO-LEFT OVERRIDE}abc", "\x07"])
    def test_its_label_can_be_read(self, hospital: Hospital, label: str) -> None:
        """It is printed on orders, so nothing in it may be hidden or turn text round."""
        spki = self._spki(ec.generate_private_key(ec.SECP256R1()))
        answer = hospital.client("ambler").post("/auth/enrol", {"spki": spki, "label": label})
        assert (answer.status_code, answer.json["code"]) == (409, "device.label")

    def test_an_administrator_enrols_none(self, hospital: Hospital) -> None:
        """Who writes no clinical record has no key."""
        spki = self._spki(ec.generate_private_key(ec.SECP256R1()))
        answer = hospital.client("rook").post("/auth/enrol", {"spki": spki, "label": "x"})
        assert answer.status_code == 403


class TestStatus:
    """What a phone learns besides the records."""

    def _last_heard(self, client: Client, phone: Phone) -> str | None:
        rows = client.get("/sync/status").json["devices"]
        (row,) = [row for row in rows if row["kid"] == phone.kid]
        return row["last_heard"]  # type: ignore[no-any-return]

    def test_says_when_each_device_of_ones_sites_was_heard_from(self, hospital: Hospital) -> None:
        """Never, until it hands something in; another site's devices are not listed."""
        phone, other = hospital.phone(), hospital.phone("quill", "upper-glen")
        client = hospital.client("ambler")
        assert self._last_heard(client, phone) is None
        phone.register()
        assert self._last_heard(client, phone) is not None
        listed = {row["kid"]: row for row in client.get("/sync/status").json["devices"]}
        assert other.kid not in listed
        # What a person reads before they close a key that its phone lost.
        assert listed[phone.kid]["sent"] == 1

    def test_a_pull_counts_as_heard_from(self, hospital: Hospital) -> None:
        """A phone that only reads names its key."""
        phone, client = hospital.phone(), hospital.client("ambler")
        client.get("/sync/pull?site=saltpan", headers={"X-Lampside-Key": phone.kid})
        assert self._last_heard(client, phone) is not None

    def test_nobody_speaks_for_anothers_device(self, hospital: Hospital) -> None:
        """Naming a colleague's key changes nothing."""
        phone, client = hospital.phone(), hospital.client("verrill")
        client.get("/sync/pull?site=saltpan", headers={"X-Lampside-Key": phone.kid})
        assert self._last_heard(client, phone) is None

    def test_names_the_core_of_this_server(self, hospital: Hospital) -> None:
        """A phone can see that it calculates with another one."""
        assert hospital.client("ambler").get("/sync/status").json["core"] == core_sha256()


class TestPerson:
    """Every record of one person."""

    def test_at_the_readers_site(self, hospital: Hospital) -> None:
        """All of them with their numbers, as the pages gave them, and nobody else's."""
        phone = hospital.phone()
        person, other = phone.register(), phone.register(name="Oda Brandreth", birth_year=1971)
        phone.keep("reading.white_to_white", person, "R", width_body())
        client = hospital.client("ambler")
        answer = client.get(f"/sync/person?person={person}").json
        page = client.get("/sync/pull?site=saltpan").json
        theirs = [{"site": "saltpan", **page["records"][index]} for index in (0, 2)]
        assert answer == {"epoch": page["epoch"], "records": theirs}
        assert other not in str(answer)

    @pytest.mark.parametrize("name", ["quill", "ambler"])
    def test_elsewhere_nobody_is_known(self, hospital: Hospital, name: str) -> None:
        """Neither a person of another camp nor one that never was."""
        person = hospital.phone().register() if name == "quill" else "nobody"
        answer = hospital.client(name).get(f"/sync/person?person={person}")
        assert answer.status_code == 404
