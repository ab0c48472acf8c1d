"""Envelopes: what ``webapp.records.envelope`` opens, and that no changed byte gets through."""

import base64
import copy
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tests.records.vectors import Case, read
from webapp.records import canonical, envelope
from webapp.records.draft import Correction, Link, Subject, Writer, draft
from webapp.records.errors import BadRecord
from webapp.records.signing import DeskKey

SIGNED = read("signatures")
PAYLOADS = read("kinds")["payloads"]
SPKI = {key["kid"]: envelope.from_base64url(key["spki"], "spki") for key in SIGNED["keys"]}


def accept(signed: object) -> envelope.Record:
    """Open and verify, as everyone who receives a record must."""
    record = envelope.open_envelope(signed)
    if record.kid not in SPKI:
        raise BadRecord("kid", "This key is not known.")
    envelope.verify_record(record, SPKI[record.kid])
    return record


@pytest.fixture
def desk_key(tmp_path: Path) -> DeskKey:
    """Return a desk key of its own."""
    return DeskKey.load_or_create(tmp_path / "desk_key.pem")


def cancellation(desk_key: DeskKey, *correction: Correction) -> dict[str, Any]:
    """Draft the cancellation of the vectors as the desk's first record."""
    good = PAYLOADS["order.cancelled"]
    return draft(
        "order.cancelled",
        Subject(good["person"], good["eye"], good["site"]),
        Writer(good["author"], good["role"]),
        Link(desk_key.kid, 1, None),
        good["wall"],
        good["body"],
        *correction,
    )


class TestOpen:
    """An envelope is opened whole or refused."""

    @pytest.mark.parametrize("signed", SIGNED["envelopes"], ids=lambda signed: signed["id"][:8])
    def test_both_makers(self, signed: Case) -> None:
        """Records signed by a browser's functions and by the server's library are accepted."""
        record = accept({name: signed[name] for name in ("p", "kid", "sig")})
        assert record.id == signed["id"]
        assert record.payload["key"] == record.kid

    @pytest.mark.parametrize("signed", [None, [], "text", {}, {"p": "", "kid": "", "sig": ""}])
    def test_not_an_envelope(self, signed: object) -> None:
        """What is no envelope is refused by the declared error."""
        with pytest.raises(BadRecord):
            envelope.open_envelope(signed)

    @pytest.mark.parametrize(
        ("name", "value"),
        [
            ("alg", "none"),
            ("p", None),
            ("p", "e30="),
            ("p", "e31"),
            ("p", "e 30"),
            ("p", "e"),
            ("kid", "F" * 64),
            ("kid", None),
            ("sig", 5),
            ("sig", "\u0661"),
        ],
    )
    def test_bad_members(self, name: str, value: object) -> None:
        """A further member, padding, spare bits, spaces and other types are refused."""
        signed = {member: SIGNED["envelopes"][0][member] for member in ("p", "kid", "sig")}
        with pytest.raises(BadRecord):
            envelope.open_envelope({**signed, name: value})

    def test_spare_bits(self) -> None:
        """Another text for the very same signature bytes is refused: one record, one envelope."""
        first = {name: SIGNED["envelopes"][0][name] for name in ("p", "kid", "sig")}
        accept(first)
        # 64 bytes leave four spare bits in the last character, so its next letter is as good.
        spared = first["sig"][:-1] + chr(ord(first["sig"][-1]) + 1)
        assert base64.urlsafe_b64decode(spared + "==") == base64.urlsafe_b64decode(
            first["sig"] + "=="
        )
        with pytest.raises(BadRecord, match="standard base64url"):
            envelope.open_envelope({**first, "sig": spared})

    def test_other_key_than_named(self) -> None:
        """An envelope whose key is not the payload's key is refused before any verification."""
        first, last = SIGNED["envelopes"][0], SIGNED["envelopes"][-1]
        with pytest.raises(BadRecord, match="names another key"):
            envelope.open_envelope({"p": first["p"], "kid": last["kid"], "sig": first["sig"]})

    def test_verify_needs_the_named_key(self) -> None:
        """A record is not verified with a key that it does not name."""
        first, last = SIGNED["envelopes"][0], SIGNED["envelopes"][-1]
        record = envelope.open_envelope({name: first[name] for name in ("p", "kid", "sig")})
        with pytest.raises(BadRecord, match="another key"):
            envelope.verify_record(record, SPKI[last["kid"]])


class TestChangedByte:
    """Whatever is changed on the way, the record is refused."""

    @given(
        st.sampled_from(SIGNED["envelopes"]),
        st.sampled_from(["p", "sig"]),
        st.integers(0, 10_000),
        st.integers(1, 255),
    )
    @example(SIGNED["envelopes"][0], "sig", 0, 1)
    def test_changed_byte(self, signed: Case, member: str, place: int, change: int) -> None:
        """A payload or signature with any bits of one byte changed is never accepted."""
        data = bytearray(envelope.from_base64url(signed[member], member))
        data[place % len(data)] ^= change
        forged = {name: signed[name] for name in ("p", "kid", "sig")}
        forged[member] = envelope.to_base64url(bytes(data))
        with pytest.raises(BadRecord):
            accept(forged)

    @given(st.sampled_from(SIGNED["envelopes"]), st.integers(0, 10_000), st.booleans())
    def test_cut_or_repeated(self, signed: Case, place: int, is_cut: bool) -> None:
        """A payload with bytes cut out or repeated is never accepted."""
        data = envelope.from_base64url(signed["p"], "p")
        place %= len(data)
        changed = data[:place] + data[place + 1 :] if is_cut else data[: place + 1] + data[place:]
        with pytest.raises(BadRecord):
            accept({**{k: signed[k] for k in ("kid", "sig")}, "p": envelope.to_base64url(changed)})


class TestSeal:
    """The desk makes and signs records of the same form."""

    def test_round_trip(self, desk_key: DeskKey) -> None:
        """What the desk seals opens and verifies, and its id is the hash of its bytes."""
        payload = {**PAYLOADS["order.placed"], "key": desk_key.kid}
        record = envelope.open_envelope(envelope.seal(payload, desk_key))
        envelope.verify_record(record, desk_key.spki)
        assert record.payload == payload
        assert record.id == envelope.record_id(canonical.encode(payload))

    def test_refuses_another_key(self, desk_key: DeskKey) -> None:
        """A payload that names another key is not signed."""
        with pytest.raises(BadRecord, match="names another key"):
            envelope.seal(PAYLOADS["order.placed"], desk_key)

    def test_refuses_a_wrong_check_code(self, desk_key: DeskKey) -> None:
        """What was shown must have the check code that stands beside it."""
        payload = {**copy.deepcopy(PAYLOADS["plan.request"]), "key": desk_key.kid}
        payload["body"]["shown"]["lens"]["sphere_cD"] -= 50
        with pytest.raises(BadRecord) as refusal:
            envelope.seal(payload, desk_key)
        assert refusal.value.field == "digest"

    def test_draft(self, desk_key: DeskKey) -> None:
        """A draft of a desk record has the whole form, and a cancellation its reason."""
        good = PAYLOADS["order.cancelled"]
        payload = cancellation(desk_key, Correction(None, good["reason"]))
        assert payload == {**good, "key": desk_key.kid}

    def test_draft_is_checked(self, desk_key: DeskKey) -> None:
        """A draft that breaks a rule is refused before anything is signed."""
        with pytest.raises(BadRecord, match="reason"):
            cancellation(desk_key)
