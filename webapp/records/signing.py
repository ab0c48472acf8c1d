"""P-256 keys and signatures: what a device signs in the browser is verified here, and the reverse.

One algorithm, ECDSA P-256 with SHA-256, and no field that names it: there is nothing to negotiate.
"""

import hashlib
import os
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

from cryptography.exceptions import InvalidSignature, UnsupportedAlgorithm
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import (
    decode_dss_signature,
    encode_dss_signature,
)
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    PublicFormat,
    load_der_public_key,
    load_pem_private_key,
)

from webapp.records.errors import BadRecord

# Signed before the payload, so that a signature made for anything else is never one of a record.
DOMAIN = b"lampside-record/1\n"
SIGNATURE_BYTES = 64  # r then s, 32 bytes each, as browsers make them
_HALF = SIGNATURE_BYTES // 2
_ALGORITHM = ec.ECDSA(SHA256())


def key_id(spki: bytes) -> str:
    """Return the id of a public key: lower-case hex SHA-256 of its SPKI DER bytes."""
    return hashlib.sha256(spki).hexdigest()


@lru_cache(maxsize=1024)
def load_public_key(spki: bytes) -> ec.EllipticCurvePublicKey:
    """Return the public key in SPKI DER bytes.

    Raises:
        BadRecord: not a P-256 key in the one form that browsers export.
    """
    try:
        key = load_der_public_key(spki)
    except (ValueError, UnsupportedAlgorithm) as error:
        raise BadRecord("spki", "This is not a public key.") from error
    if not isinstance(key, ec.EllipticCurvePublicKey) or not isinstance(key.curve, ec.SECP256R1):
        raise BadRecord("spki", "Only P-256 keys are accepted.")
    if _spki_of(key) != spki:
        # Another encoding of the same point would give one key two ids.
        raise BadRecord("spki", "The public key is not in its one standard encoding.")
    return key


def verify(spki: bytes, payload: bytes, signature: bytes) -> None:
    """Accept a signature over a record's payload bytes, or refuse it.

    Args:
        spki: public key, SPKI DER.
        payload: canonical payload bytes, exactly as received.
        signature: 64 bytes, r then s.

    Raises:
        BadRecord: the key, the length or the signature is wrong.
    """
    key = load_public_key(spki)
    if len(signature) != SIGNATURE_BYTES:
        raise BadRecord("sig", "The signature is not 64 bytes long.")
    r, s = int.from_bytes(signature[:_HALF]), int.from_bytes(signature[_HALF:])
    try:
        key.verify(encode_dss_signature(r, s), DOMAIN + payload, _ALGORITHM)
    except InvalidSignature as error:
        raise BadRecord("sig", "The signature does not match the record.") from error


class DeskKey(NamedTuple):
    """The installation's own key, which signs what is made on the desk's pages."""

    private_key: ec.EllipticCurvePrivateKey

    @classmethod
    def load_or_create(cls, path: Path) -> "DeskKey":
        """Return the key in a PEM file, made on first use and readable by its owner only.

        Raises:
            BadRecord: the file is there but holds no P-256 private key.
        """
        if not path.exists():
            _create(path)
        try:
            key = load_pem_private_key(path.read_bytes(), password=None)
        except (ValueError, TypeError, UnsupportedAlgorithm) as error:
            raise BadRecord("desk_key", f"{path} does not hold a readable private key.") from error
        if not (
            isinstance(key, ec.EllipticCurvePrivateKey) and isinstance(key.curve, ec.SECP256R1)
        ):
            raise BadRecord("desk_key", f"{path} does not hold a P-256 private key.")
        return cls(key)

    @property
    def spki(self) -> bytes:
        """The public key, SPKI DER."""
        return _spki_of(self.private_key.public_key())

    @property
    def kid(self) -> str:
        """The id of the key."""
        return key_id(self.spki)

    def sign(self, payload: bytes) -> bytes:
        """Return the 64-byte signature (r then s) over a record's payload bytes."""
        r, s = decode_dss_signature(self.private_key.sign(DOMAIN + payload, _ALGORITHM))
        return r.to_bytes(_HALF) + s.to_bytes(_HALF)


def _spki_of(key: ec.EllipticCurvePublicKey) -> bytes:
    return key.public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)


def _create(path: Path) -> None:
    """Write a new key whole or not at all; whoever comes second keeps the first one's key."""
    pem = ec.generate_private_key(ec.SECP256R1()).private_bytes(
        Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()
    )
    path.parent.mkdir(parents=True, exist_ok=True)
    draft = path.with_name(f"{path.name}.{os.getpid()}.new")
    with open(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
        file.write(pem)
        file.flush()
        os.fsync(file.fileno())
    try:
        os.link(draft, path)
    except FileExistsError:
        pass
    finally:
        draft.unlink()
