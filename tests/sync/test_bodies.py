"""Compressed bodies: taken, bounded, and answered only to who asks."""

import gzip
import json
import tracemalloc
import zlib

import pytest
from hypothesis import given
from hypothesis import strategies as st
from werkzeug.test import TestResponse

from tests.hospital import Client, Hospital, person_body
from webapp.access.gate import LARGEST_PUSH
from webapp.flow.refusal import Refused
from webapp.sync.bodies import unpacked

PERSON = "0193a5c0-0000-7000-8000-00000000000f"


def push(client: Client, body: bytes, encoding: str = "gzip") -> TestResponse:
    """Push a body as it is, saying how it is packed."""
    headers = {"X-CSRFToken": client.csrf, "Content-Encoding": encoding}
    return client.flask.post(
        "/sync/push", data=body, headers=headers, content_type="application/json"
    )


def test_a_compressed_push_is_stored(hospital: Hospital) -> None:
    """What a phone packed is read as if it had not."""
    phone, client = hospital.phone(), hospital.client("ambler")
    envelope = phone.record("person.registered", PERSON, None, person_body())
    answer = push(client, gzip.compress(json.dumps({"records": [envelope]}).encode()))
    assert answer.json["receipts"][0]["result"] == "stored"


@pytest.mark.parametrize("size", [10_000_000, 100_000_000])
def test_a_bomb_is_refused_unopened(hospital: Hospital, size: int) -> None:
    """A small body that unpacks to ten megabytes of blanks, or to a hundred, ends at its bound."""
    packer = zlib.compressobj(9, zlib.DEFLATED, 31)
    blanks = b" " * 1_000_000
    bomb = b"".join(packer.compress(blanks) for _ in range(size // len(blanks))) + packer.flush()
    answer = push(hospital.client("ambler"), bomb)
    assert (answer.status_code, answer.json["code"]) == (413, "request.too_large")


def test_a_bomb_takes_no_more_memory_than_its_bound() -> None:
    """Five megabytes of blanks, of which a thousand are allowed: the rest is never made."""
    bomb = gzip.compress(b" " * 5_000_000)
    tracemalloc.start()
    try:
        with pytest.raises(Refused) as refused:
            unpacked(bomb, 1000)
        most_bytes = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert refused.value.code == "request.too_large"
    # What zlib itself needs is some 46,000 bytes.
    assert most_bytes < 100_000
    assert unpacked(bomb, 5_000_000) == b" " * 5_000_000


def test_no_ratio_lets_more_in_than_the_largest_push(hospital: Hospital) -> None:
    """A body at the bound of its ratio still ends at the absolute one."""
    body = gzip.compress(b" " * (LARGEST_PUSH + 1)) + b""
    padded = body + b"\0" * 400_000
    assert push(hospital.client("ambler"), padded).status_code == 413


@pytest.mark.parametrize(
    ("body", "encoding", "status"),
    [
        (b"not gzip", "gzip", 400),
        (gzip.compress(b'{"records": []}')[:-4], "gzip", 400),
        (gzip.compress(b'{"records": []}') + b"more", "gzip", 400),
        (gzip.compress(b'{"records"') + gzip.compress(b": []}"), "gzip", 400),
        (b"", "gzip", 400),
        (b'{"records": []}', "br", 415),
        (b'{"records": []}', "gzip, gzip", 415),
        (b'{"records": []}', "identity", 200),
    ],
)
def test_what_is_not_one_whole_gzip(
    hospital: Hospital, body: bytes, encoding: str, status: int
) -> None:
    """Cut, doubled, followed by something or in another packing: refused, nothing half-read."""
    assert push(hospital.client("ambler"), body, encoding).status_code == status


@given(st.binary(max_size=200))
def test_any_bytes_are_unpacked_or_refused(data: bytes) -> None:
    """Nothing but the declared error comes out."""
    try:
        assert len(unpacked(data, 100)) <= 100
    except Refused as refusal:
        assert refusal.code in ("request.bad", "request.too_large")


def test_a_page_comes_packed_to_who_takes_it(hospital: Hospital) -> None:
    """The same page either way; a caller who does not ask gets it plain."""
    phone, client = hospital.phone(), hospital.client("ambler")
    phone.register()
    phone.register()
    phone.register()
    plain = client.get("/sync/pull?site=saltpan")
    packed = client.get("/sync/pull?site=saltpan", headers={"Accept-Encoding": "gzip, br"})
    refused = client.get("/sync/pull?site=saltpan", headers={"Accept-Encoding": "gzip;q=0"})
    assert "Content-Encoding" not in plain.headers
    assert "Content-Encoding" not in refused.headers
    assert packed.headers["Content-Encoding"] == "gzip"
    assert "Accept-Encoding" in packed.headers["Vary"]
    assert gzip.decompress(packed.data) == plain.data
